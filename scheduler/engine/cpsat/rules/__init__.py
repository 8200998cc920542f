"""One module for each rule of `docs/model.md`, each with one function `add_<rule>`."""

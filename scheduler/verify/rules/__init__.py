"""One module per rule of the model, each with one function `check_<rule>(view) -> list[Break]`."""

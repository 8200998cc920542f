"""The constraint model, and the only user of its solver: small days whole, bounds, windows of large days."""

"""An invented shop and its orders for one day, to try everything with."""

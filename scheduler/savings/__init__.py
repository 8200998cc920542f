"""What seconds are worth: hours and working days a year, payback, several measures together, two presses."""

"""The folder of plans: a dated folder for each day, how it is written, and the day book in it."""

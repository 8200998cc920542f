"""How sure a day is: its plan replayed many times with the spread of real times, and slack bought with it."""

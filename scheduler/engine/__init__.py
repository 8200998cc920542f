"""The search: from an Instance to a Schedule, with a bound for every objective level.

`solve` is the way in; `flat` and `kernel` hold the decoder and the local search over plain
integers; `cpsat` proves, solves small days and polishes windows.
"""

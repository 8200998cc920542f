"""The hot loop: functions over flat integer data that run interpreted and compiled alike.

The package is loaded twice. Under its own name its functions are plain Python and take lists; under
the name that `scheduler.engine.backend` gives it they are compiled by numba and take int64 arrays.
Both give the same plan, move for move, because there is only this one source, all numbers are
integers below 2**62, and `//` and `%` are only used on numbers that are not negative. Modules in
here import each other relatively, so that each copy calls its own kind.
"""

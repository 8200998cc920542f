"""The search: from an Instance to a Schedule, with a bound for every objective level.

`solve` is the way in and the table of contents; `flat` and `kernel` hold the decoder and the local search
over plain integers; `bounds` and `cpsat` say what no plan can beat; `exact` and `cpsat` prove small days.
"""

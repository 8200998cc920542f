"""The day book: every plan, version and entry of a folder of plans, in one file that is only added to."""

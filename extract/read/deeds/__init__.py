"""The speech act "instruct": one file for each form in which talk tells somebody to do something."""

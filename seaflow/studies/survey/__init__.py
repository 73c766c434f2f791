"""The survey: rules as data with small functions, judged on the facts of a case."""

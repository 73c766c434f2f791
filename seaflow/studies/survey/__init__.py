"""The survey: rules as data with small functions, judged on the evidence of a case."""

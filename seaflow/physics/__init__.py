"""Pure functions on SI numbers or arrays.

A `Number` is a float or an array of any shape; those of one call broadcast together, and floats
give a float. Each docstring has a first sentence, a line with the unit of each thing it takes and
returns and for each error it raises, then notes and an example. The glossary explains what a bare
name means; the mark above the function names the source.
"""

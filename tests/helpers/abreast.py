"""The smallest boat with one pump, and with two side by side in one loop."""

from itertools import pairwise

LARGE = "demo-mag-large-230"
BOAT = """
schema = 1
[boat]
name = "Demo sloop"
hull = "sailing monohull"
[sea]
warmest = "28 C"
[supply]
voltage = "230 V"
current = "ac"
frequency = "50 Hz"
[[unit]]
name = "U"
cooling = "16000 BTU/h"
height = "-0.6 m"
[[sea_chest]]
name = "chest"
bore = "50 mm"
height = "-0.5 m"
[[outlet]]
name = "out"
height = "-0.2 m"
bore = "19 mm"
"""
TEE = '[[tee]]\nname = "T"\nheight = "-0.1 m"\nbore = "25 mm"\n'


def run(*names, length="1 m"):
    return "".join(
        f'[[hose]]\nfrom = "{one}"\nto = "{other}"\nbore = "25 mm"\nlength = "{length}"\n'
        for one, other in pairwise(names)
    )


def pump(name, more=""):
    return f'[[pump]]\nname = "{name}"\nheight = "-0.3 m"\nfitted = "{LARGE}"\n{more}'


def single():
    return BOAT + pump("P1") + run("chest", "P1", "U", "out")


def abreast(longer="1 m", in_parallel=1):
    """Return two pumps side by side: the hose of the second longer, or two pumps in its place."""
    more = f"in_parallel = {in_parallel}\n" if in_parallel > 1 else ""
    hoses = run("chest", "P1", "T") + run("chest", "P2", length=longer) + run("P2", "T", "U", "out")
    return BOAT + TEE + pump("P1") + pump("P2", more) + hoses

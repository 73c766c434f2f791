"""The smallest boat with one pump, and with several in one loop."""

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


def hose(start, end, length="1 m"):
    return f'[[hose]]\nfrom = "{start}"\nto = "{end}"\nbore = "25 mm"\nlength = "{length}"\n'


def pump(name, fitted=None, more=""):
    named = "" if fitted is None else f'fitted = "{fitted}"\n'
    return f'[[pump]]\nname = "{name}"\nheight = "-0.3 m"\n{named}{more}'


def boat(pumps, runs, longer=None):
    """The boat with these pumps along these runs; `longer` has the length of some hoses by ends."""
    ends = [pair for run in runs for pair in pairwise(run)]
    tee = TEE if any("T" in pair for pair in ends) else ""
    hoses = (hose(*pair, (longer or {}).get(pair, "1 m")) for pair in ends)
    return BOAT + tee + "".join(pumps) + "".join(hoses)


def single():
    return boat([pump("P1", LARGE)], [("chest", "P1", "U", "out")])


def abreast(longer="1 m", in_parallel=1):
    """Return two pumps side by side: the hose of the second longer, or two pumps in its place."""
    more = f"in_parallel = {in_parallel}\n" if in_parallel > 1 else ""
    pumps = [pump("P1", LARGE), pump("P2", LARGE, more)]
    runs = [("chest", "P1", "T"), ("chest", "P2", "T"), ("T", "U", "out")]
    return boat(pumps, runs, {("chest", "P2"): longer})

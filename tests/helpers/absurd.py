"""Files just under the size limit that would keep a careless reader busy for ever."""

from pathlib import Path

SIZE = 990_000  # bytes; the limit is a million
GOOD = (Path(__file__).parents[1] / "messages" / "good.toml").read_text(encoding="utf-8")


def filled(piece, start="", end=""):
    """A text of many pieces, each formatted with its number, of about the size limit."""
    pieces, size = [start], len(start) + len(end)
    while size < SIZE:
        pieces.append(piece.format(len(pieces)))
        size += len(pieces[-1])
    return "".join([*pieces, end])


CASES = {
    "dots": "a" + ".a" * 495_000 + " = 1\n",
    "dots in a list": "x = [{ " + "a." * 494_000 + "a = 1 }]\n",
    "many short dotted keys": filled("a{0}.b.c.d.e.f.g = 1\n"),
    "headers of eight": filled("[a{0}.b.c.d.e.f.g]\n"),
    "one table of many keys": filled("k{0} = 1\n", GOOD),
    "many tables": filled("[t{0}]\n", GOOD),
    "many rows": filled("[[hose]]\n", GOOD),
    "hoses to nowhere": filled(
        '[[hose]]\nfrom = "n{0}"\nto = "m{0}"\nbore = "19 mm"\nlength = "1 m"\n', GOOD
    ),
    "inline tables": "hose = [" + "{a=1}," * 164_000 + "]\n",
    "deep lists": "a = " + "[" * 495_000 + "]" * 494_000 + "\n",
    "deep tables": "a = " + "{a=" * 300_000 + "1" + "}" * 80_000 + "\n",
    "many numbers": "a = [" + "1," * 494_000 + "]\n",
    "one long name": GOOD.replace("Demo dinghy", "d" * SIZE),
    "one long key": "k" * SIZE + " = 1\n",
    "quotes left open": '"' * SIZE,
    "quotes escaped": 'a = "' + '\\"' * 494_000,
    "long quotes left open": 'a = """' + '""x' * 320_000,
    "one long line": "#" + " = [ " * 190_000,
    "many fittings": GOOD.replace(
        'fittings = ["hose barb",', "fittings = [" + '"hose barb",' * 80_000
    ),
    "many points": GOOD.replace(
        'length = "2.4 m"', 'length = "2.4 m"\nvia = [' + '{ height = "0 m" },' * 50_000 + "]"
    ),
    "more digits": GOOD.replace('"2.4 m"', "9" * 5000),
    "digits": GOOD.replace('"2.4 m"', "9" * 4000),
    "spaces": GOOD + " " * 900_000,
    "line feeds": GOOD + "\n" * 900_000,
}
SHEETS = {
    "columns": "part,name," + "x," * 490_000 + "\n",
    "rows": filled("pump,p{0},5\n", "part,name,flow [L/min]\n"),
    "one part of many points": filled("pump,p,{0},5\n", "part,name,flow [L/min],head [m]\n"),
    "one long cell": "part,name\npump," + "p" * SIZE + "\n",
    "quote left open": 'part,name\npump,"' + "p\n" * 490_000,
    "separators": "part,name\n" + "," * SIZE + "\n",
}
READINGS = {
    "rows": filled('[[reading]]\ndate = "{0}"\nsea = "27 degC"\n'),
    "keys": filled('k{0} = "1"\n', "[[reading]]\n"),
    "answers": "[[reading]]\ntried = [" + '"x",' * 240_000 + "]\n",
}
ANSWERS = {
    "rows": filled('[[seacock]]\nname = "c{0}"\nmoves_freely = "yes"\n'),
    "openings": filled('[[skin_fitting]]\nname = "o{0}"\nuse = "cockpit drain"\nbore = "1 mm"\n'),
    "keys": filled('k{0} = "yes"\n', '[[seacock]]\nname = "seacock"\n'),
    "tables": filled('[t{0}]\nx = "yes"\n'),
}

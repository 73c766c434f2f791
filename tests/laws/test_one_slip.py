"""One slip is one problem, and it stands where it was made, however the file is spelt."""

import re
import tomllib
from pathlib import Path

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_written
from seaflow.boat.reader.text import parsed, read_text
from seaflow.present.problems import problems_text

CASES = Path(__file__).parents[2] / "cases"
KETCH = (CASES / "ketch-one-unit.toml").read_text(encoding="utf-8")
MOTOR = (CASES / "motor-three-units.toml").read_text(encoding="utf-8")

SPELT = """schema = 1
"naam" = 1
'x.y' . "a\\u0062" = [1, 2,
  { b = "c # d", e.f = 3 }, # no ] here
  "z" ]
[meta]
note = \"\"\"
[no] key = 3
\"\"\"  # done
[[hose]]  # a comment
  from = "a"
fittings = ["x = 1",   'y']
seen = { a = true, "q w" = { r = 2.5 } }
[[hose]]
[hose.valve]
[[hose.valve.points]]
turns = 1
[["hose" . valve . 'points']]
 turns = 2
["quoted"."b c"]
k = 1979-05-27T07:32:00Z
"""


def told(text):
    with pytest.raises(SeaflowError) as refused:
        load_written(*parsed("boat.toml", text))
    return [problem for problem in refused.value.problems if not problem.warning]


def marked(problem, text):
    """Return the characters that a problem points at."""
    line = text.split("\n")[problem.line - 1] + "\n"
    return line[problem.column - 1 :][: problem.length]


def leaves(raw, path=()):
    rows = raw.items() if isinstance(raw, dict) else enumerate(raw)
    for name, content in rows:
        yield (*path, name), content
        if isinstance(content, (dict, list)):
            yield from leaves(content, (*path, name))


@pytest.mark.parametrize("text", [KETCH, MOTOR, SPELT], ids=["ketch", "motor", "spelt"])
def test_all_that_a_file_holds_is_found_where_it_stands(text):
    found, raw = parsed("boat.toml", text)
    for path, content in leaves(raw):
        line = found.lines[found.where[path] - 1]
        if path in found.spans and not isinstance(content, (dict, list)):
            column, length = found.spans[path]
            piece = line[column - 1 :][:length]
            if piece != '"""':  # a text over several lines
                assert tomllib.loads(f"value = {piece}")["value"] == content
        if path in found.keys:
            column, length = found.keys[path]
            key = tomllib.loads(f"{line[column - 1 :][:length]} = 0")
            assert str(path[-1]) in {str(name) for one, _ in leaves(key) for name in one}
    assert {path for path, _ in leaves(raw)} == set(found.where)


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("naam = 1", "naam"),
        ('"naam" = 1', '"naam"'),
        ("'na am' = \"x\"", "'na am'"),
        ('seen.matreial = "bronze"', "seen.matreial"),
        ('"seen" . "matreial" = "bronze"', '"seen" . "matreial"'),
        ('seen = { firm = true, "matreial" = "bronze" }', '"matreial"'),
        ("quite = { another = 1 }", "quite"),
    ],
)
def test_an_unknown_key_is_marked_in_every_spelling(line, key):
    head, before, rest = KETCH.partition('[[through_hull]]\nname = "cooling intake"\n')
    rest = re.sub(r"^seen = .*\n", "", rest, count=1, flags=re.MULTILINE)
    text = f"{head}{before}{line}\n{rest}"
    (problem,) = told(text)
    assert problem.code == "K01" and marked(problem, text) == key


HEADERS = re.findall(r"^\[\[?\w+\]\]?$", KETCH + MOTOR, re.MULTILINE)


@pytest.mark.parametrize("header", sorted(set(HEADERS) - {"[meta]"}))
def test_a_misspelt_table_is_one_problem_whatever_names_it(header):
    source = KETCH if f"\n{header}\n" in KETCH else MOTOR
    wrong = f"{header[: len(header) // 2]}x{header[len(header) // 2 :]}"
    text = source.replace(f"\n{header}\n", f"\n{wrong}\n", 1)
    (problem,) = told(text)
    assert problem.code == "K01" and marked(problem, text) == wrong


def test_a_table_that_nobody_understands_hides_no_more_than_its_names():
    text = MOTOR.replace("[[manifold]]", "[[wasserding]]")
    (problem,) = told(text)
    assert problem.code == "K01" and marked(problem, text) == "[[wasserding]]"


def test_a_misspelt_key_is_one_problem_whatever_it_held():
    lines = KETCH.split("\n")
    keys = [row for row, line in enumerate(lines) if re.match(r"\w+ = ", line)]
    notes = range(lines.index("[meta]"), lines.index("[boat]"))
    for row in keys[1::9]:
        if row in notes:
            continue
        line = lines[row]
        name = line.partition(" ")[0]
        wrong = f"{name}e"
        text = "\n".join([*lines[:row], wrong + line[len(name) :], *lines[row + 1 :]])
        (problem,) = told(text)
        assert problem.code == "K01" and problem.line == row + 1 and marked(problem, text) == wrong


def test_a_key_under_the_wrong_table_is_not_missed_in_the_right_one():
    warmest = re.search(r"^warmest = .*\n", KETCH, re.MULTILINE)[0]
    bare = KETCH.replace(warmest, "")
    for header in ("[boat]\n", "[supply]\n", "schema = 1\n"):
        (problem,) = told(bare.replace(header, header + warmest, 1))
        assert problem.code == "K01" and "[sea]" in problem.write


def test_a_slip_of_sign_is_told_beside_others():
    wrong = re.sub(r'(name = "cooling intake"\n.*height = ")-', r"\1", KETCH, count=1)
    assert wrong != KETCH
    assert [one.code for one in told(wrong)] == ["S56"]
    beside = {
        "K03": ('warmest = "30 degC"', 'warmest = "30"'),
        "K02": ('name = "strainer"\n', ""),
        "K01": ("[[strainer]]", "[[strianer]]"),
        "S02": ('name = "strainer"\n', 'name = "pump"\n'),
        "S03": ('to = "pump"', 'to = "pmup"'),
    }
    for code, (old, new) in beside.items():
        assert old in wrong
        codes = {one.code for one in told(wrong.replace(old, new))}
        assert {code, "S56"} <= codes


@pytest.mark.parametrize(
    ("key", "written", "asked"),
    [
        ("at", '"5 m"', {"aft", "starboard", "height"}),
        ("at", '["5 m", "0.3 m"]', {"aft", "starboard", "height"}),
        ("cable", '"6 m"', {"length", "conductor", "hot_space"}),
        ("heating", "true", {"capacity", "input_power", "water"}),
        ("seen", "true", {"leaks", "supported"}),
    ],
)
def test_a_value_where_a_table_belongs_is_one_problem_that_shows_the_keys(key, written, asked):
    header = {"heating": "[[unit]]", "at": "[[strainer]]"}.get(key, "[[pump]]")
    head, _, rest = KETCH.partition(f"\n{header}\n")
    rest = re.sub(rf"^{key} = .*\n", "", rest, count=1, flags=re.MULTILINE)
    text = f"{head}\n{header}\n{key} = {written}\n{rest}"
    (problem,) = told(text)
    assert problem.code == "K10" and marked(problem, text) == written
    shown = re.search(r"= (\{.*\})", problem.write)[1]
    assert asked <= tomllib.loads(f"table = {shown}")["table"].keys()


SINGLE = {one for text in (KETCH, MOTOR) for one in HEADERS if text.count(f"\n{one}\n") == 1}


@pytest.mark.parametrize("header", sorted(SINGLE - {"[meta]"}))
def test_wrong_brackets_are_one_problem_and_the_rest_is_read(header):
    source = KETCH if KETCH.count(f"\n{header}\n") == 1 else MOTOR
    wrong = header[1:-1] if header.startswith("[[") else f"[{header}]"
    text = source.replace(f"\n{header}\n", f"\n{wrong}\n")
    (problem,) = told(text)
    assert problem.code == "K10" and marked(problem, text) == wrong and header in problem.write
    beside = text.replace(f"\n{wrong}\n", f'\n{wrong}\nnaam = "x"\n')
    assert {(one.code, one.line - problem.line) for one in told(beside)} == {("K10", 0), ("K01", 1)}


@pytest.mark.parametrize(
    ("lost", "taken"),
    [
        ("port outlet", "starboard outlet"),
        ("wheelhouse unit", "saloon unit"),
        ("strainer", "pump"),
        ("sea chest", "strainer"),
    ],
)
def test_two_things_of_one_name_are_one_problem_whatever_names_the_lost_one(lost, taken):
    wrong = MOTOR.replace(f'name = "{lost}"', f'name = "{taken}"', 1)
    (problem,) = told(wrong)
    assert problem.code == "S02" and marked(problem, wrong) == f'"{taken}"'
    misspelt = wrong.replace('to = "manifold"', 'to = "manifodl"', 1)
    found = {one.code: one for one in told(misspelt)}
    assert set(found) == {"S02", "S03"} and '"manifold"' in found["S03"].write


@pytest.mark.parametrize(
    ("text", "line", "pointed", "named"),
    [
        ("[[hose]]\na = 1\n[hose] # c\n", 3, "[hose]", "Write [[hose]]"),
        ("[hose]\na = 1\n[[hose]]\n", 1, "[hose]", "Write [[hose]]"),
        ("[boat]\na = 1\n[sea]\n[boat]\n", 4, "[boat]", "line 1"),
        ("[boat]\n\nbore = 1\n'bore' = 2\n", 4, "'bore'", "line 3"),
        ("[[hose]]\nbore = 1\n[[hose]]\nbore = 1\nbore = 2\n", 5, "bore", "line 4"),
        ("[[hose]]\nat = { x = 1, x = 2 }\n", 2, "x", "second x"),
        ("[[hose]]\nat = { x = 1 }\nat.y = 2\n", 3, "at.y", "line 2"),
        ("[boat]\nat = 1\n[boat.at]\n", 3, "[boat.at]", "line 2"),
        ("bore = \u201c1 mm\u201d\n", 1, "\u201c", "straight quotes"),
        ('bore = "1 mm\u201d\n', 1, "\u201d", "straight quotes"),
        ('name = "Anna\u2019s"\nbore = ?', 2, "?", "no quotes"),
        ('len\u200bgth = "1 m"\n', 1, "\u200b", "U+200B"),
        ('\n\ufefflength = "1 m"\n', 2, "\ufeff", "U+FEFF"),
        ('length\u00a0= "1 m"\n', 1, "\u00a0", "plain space"),
        ('length = "1 m"\u00a0\n', 1, "\u00a0", "plain space"),
        ('l\u0435ngth = "1 m"\n', 1, "\u0435", 'Type "length"'),
        ("[bo\u0430t]\n", 1, "\u0430", 'Type "boat"'),
        ('l\u00e4nge = "1 m"\n', 1, "\u00e4", "U+00E4"),
        ("length \uff1d 1\n", 1, "\uff1d", "U+FF1D"),
        ("height = \u20131\n", 1, "\u2013", "U+2013"),
        ("a = 1\rb = 2\nc = 3\n", 1, "\r", "carriage return"),
        ("{\\rtf1 a}\n", 1, "{\\rtf", "plain text"),
        ("<html><body>\n", 1, "<html>", "plain text"),
        ('{ "boat": { "name": "x" } }\n', 1, '{ "boat":', "plain text"),
        ("// a note\n", 1, "//", "Write #"),
        ("[[sea chest]]\n", 1, "[[sea chest]]", "Write [[sea_chest]]"),
        ("[[hose]\n", 1, "[[hose]", "Write as many behind as before: [[hose]]"),
        ("[hose]]\n", 1, "[hose]]", "[hose]"),
        ('[[hose]] bore = "1 mm"\n', 1, 'bore = "1 mm"', "[[hose]]"),
        ("length: 1 m\n", 1, ":", 'Write length = "1 m"'),
        ('hose bore = "1 mm"\n', 1, "hose bore", "hose_bore"),
        ('bore = "3/4""\n', 1, '"3/4""', 'Write bore = "3/4 in"'),
        ('length = "1" m # so\n', 1, '"1" m', 'Write length = "1 m"'),
        ("on = Yes\n", 1, "Yes", "Write on = true"),
        ("seen = { firm = no }\n", 1, "no", "Write firm = false"),
        ('from = "a", to = "b"\n', 1, 'to = "b"', "line of its own"),
        ('length = "1 m",\n', 1, ",", "Take"),
        ('length = "1 m" (told)\n', 1, "(told)", "put a #"),
        ("length =\n", 1, "\n", "no value"),
        ("length = 1,5 m # so\n", 1, "1,5 m", 'Write length = "1.5 m"'),
        ("bore = 5/8\n", 1, "5/8", 'Write bore = "5/8 in"'),
        ("frequency = 50/60\n", 1, "50/60", 'Write frequency = "50/60"'),
        ("cooling = 16,000 BTU/h\n", 1, "16,000 BTU/h", '"16,000 BTU/h"'),
        ("at = { height = -1 m }\n", 1, "-1 m", 'Write height = "-1 m"'),
        ('length = "1 m\nbore = "1 mm"\n', 1, '"1 m', 'Write length = "1 m"'),
        ('length = 1 m"\n', 1, '1 m"', 'Write length = "1 m"'),
        ("length = '1 m\nbore = 1\n", 1, "'", "not closed"),
        ('note = """a\n\nbore = 1\n', 1, '"', "not closed"),
        ('fittings = ["a", "b"\nbore = 1\n', 1, "[", "not closed"),
        ('fittings = ["a" "b"]\n', 1, '"b"', "comma"),
        ("fittings = [hose barb]\n", 1, "hose barb", '"hose barb"'),
        ('via = [{ a = "1" b = "2" }]\n', 1, "b =", "comma"),
        ('at = { height = "1 m"\n}\n', 1, '{ height = "1 m"', "}"),
        ('name = "C:\\photos"\n', 1, "\\", "/"),
        ('length "1 m"\n', 1, '"1 m"', 'Write length = "1 m"'),
        ('fittings = ["a, b]\n', 1, '"a, b]', "quote"),
        ("a boat of mine\n", 1, "a boat of mine", "no ="),
    ],
)
def test_what_is_no_toml_is_told_by_its_cause(text, line, pointed, named):
    (problem,) = told(text)
    assert problem.code == "F05" and problem.line == line and marked(problem, text) == pointed
    assert named in f"{problem.what} {problem.write}"


@pytest.mark.parametrize("typed", ["5/8", "1 1/4", "1-1/4", "3/4 in", "19 mm", "3/4''"])
def test_what_to_write_of_a_bore_without_quotes_is_taken(typed):
    text = re.sub(r"(?m)^bore = .*$", f"bore = {typed}", KETCH, count=1)
    (problem,) = told(text)
    line = re.search(r"Write (bore = .*)\.$", problem.write)[1]
    mended = re.sub(r"(?m)^bore = .*$", line, KETCH, count=1)
    loaded = load_written(*parsed("boat.toml", mended))
    assert all(one.warning for one in loaded.warnings)


@pytest.mark.parametrize("line", ["x" * 900_000, "\u0430" * 300_000, "a = [" * 4000, "=[" * 9000])
def test_a_line_without_an_end_is_refused_as_soon_as_it_is_read(line):
    (problem,) = told(line + "\n")
    assert problem.code in ("F05", "F16")


@pytest.mark.parametrize("code", ["utf-16", "utf-16-le", "utf-16-be", "utf-8", "utf-8-sig"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_file_reads_the_same_in_every_coding_and_with_every_end_of_a_line(tmp_path, code, end):
    text = KETCH.replace('"strainer"', '"strain\u00e9r"').replace("bore = ", "boer = ", 1)
    line = next(row for row, one in enumerate(text.split("\n"), 1) if one.startswith("boer"))
    boat = tmp_path / "boat.toml"
    boat.write_bytes(text.replace("\n", end).encode(code))
    with pytest.raises(SeaflowError) as refused:
        load_written(*read_text(str(boat)))
    (problem,) = refused.value.problems
    assert (problem.code, problem.line, problem.column) == ("K01", line, 1)
    assert "boer = " in problems_text([problem])


def test_a_letter_of_another_alphabet_is_marked_where_it_stands(tmp_path):
    boat = tmp_path / "boat.toml"
    boat.write_bytes(b'[boat]\nhull = "a\xc3\xa9b\xb0"\n')
    with pytest.raises(SeaflowError) as refused:
        read_text(str(boat))
    (problem,) = refused.value.problems
    assert (problem.code, problem.line, problem.column) == ("F04", 2, 12)


@pytest.mark.parametrize("text", ["# a note\n\n# another\n", "schema = 1\n", "[meta]\na = 1\n"])
@pytest.mark.parametrize("gaps", [False, True])
def test_a_file_that_holds_nothing_yet_is_one_problem_that_says_how_to_start(text, gaps):
    with pytest.raises(SeaflowError) as refused:
        load_written(*parsed("boat.toml", text), gaps=gaps)
    (problem,) = refused.value.problems
    assert problem.code == "F03" and "seaflow new" in problem.write


@pytest.mark.parametrize(
    ("old", "new", "pointed", "asked"),
    [
        ("[boat]\n", '[boat]\npump = { name = "p" }\n', "pump", "[[pump]]"),
        ("[boat]\n", '[boat]\nhose = [{ from = "a", to = "b" }]\n', "hose", "[[hose]]"),
        ("[sea]\n", "[boat.sea]\n", "[boat.sea]", "[sea]"),
        ("[supply]\n", "[sea.supply]\n", "[sea.supply]", "[supply]"),
        (
            "[[strainer]]\n",
            "[[through_hull.strainer]]\n",
            "[[through_hull.strainer]]",
            "[[strainer]]",
        ),
        ("[boat]\n", "[boat.boat]\n", "[boat.boat]", "[boat]"),
    ],
)
def test_a_table_inside_another_is_one_problem_that_names_its_head(old, new, pointed, asked):
    assert old in KETCH
    text = KETCH.replace(old, new, 1)
    (problem,) = told(text)
    assert problem.code == "K01" and marked(problem, text) == pointed
    assert asked in problem.write


@pytest.mark.parametrize(
    ("key", "written"),
    [
        ("bore", "diameter"),
        ("bore", "dia"),
        ("bore", "id"),
        ("bore", "ID"),
        ("bore", "inner_diameter"),
        ("bore", "bore_mm"),
        ("length", "length_m"),
        ("length", "run"),
        ("from", "start"),
        ("warmest", "temperature"),
        ("voltage", "volts"),
        ("cooling", "btu"),
        ("hull", "type"),
    ],
)
def test_what_the_trade_calls_a_key_is_offered_as_that_key(key, written):
    text = re.sub(rf"^{key} = ", f"{written} = ", KETCH, count=1, flags=re.MULTILINE)
    (problem,) = told(text)
    assert problem.code == "K01" and marked(problem, text) == written
    assert f'"{key}"' in problem.write


@pytest.mark.parametrize(
    ("table", "written"),
    [
        ("unit", "aircon"),
        ("strainer", "filter"),
        ("through_hull", "intake"),
        ("outlet", "overboard"),
    ],
)
def test_what_the_trade_calls_a_table_is_offered_as_that_table(table, written):
    text = KETCH.replace(f"[[{table}]]", f"[[{written}]]")
    (problem,) = told(text)
    assert problem.code == "K01" and f'"{table}"' in problem.write


@pytest.mark.parametrize("written", ["l\u0435ngth", "leng\u200cth", "len\u0131gth"])
def test_a_quoted_key_that_only_looks_like_one_is_told_by_the_letter(written):
    text = re.sub(r"^length = ", f'"{written}" = ', KETCH, count=1, flags=re.MULTILINE)
    (problem,) = told(text)
    assert problem.code == "K01" and '"length"' in problem.write
    assert (written == "len\u0131gth") == ("U+" not in problem.write)


def test_a_name_in_letters_of_another_alphabet_is_told_by_the_letter():
    text = KETCH.replace('to = "strainer"', 'to = "str\u0430iner"', 1)
    (problem,) = told(text)
    assert problem.code == "S03" and "U+0430" in problem.write


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ('"a\\u200bb" = 1', '"a\\u200bb"'),
        ('"a\\u200bb" = { c = 1 }', '"a\\u200bb"'),
        ('seen."a\\u200bb" = 1', 'seen."a\\u200bb"'),
    ],
)
def test_a_key_that_acts_is_marked_and_not_its_value(line, key):
    text = f"[[pump]]\n{line}\n"
    (problem,) = told(text)
    assert problem.code == "K14" and marked(problem, text) == key


HOSE = re.compile(r'\[\[hose\]\]\nfrom = "(.*)"\nto = "(.*)"\n(?:[^\[\n].*\n)*')


@pytest.mark.parametrize("taken", ["pump", "strainer"])
def test_a_hose_that_is_missing_is_told_beside_a_doubled_name(taken):
    text = "".join(one for one in re.split(r"(?=\[\[hose\]\]\n)", KETCH))
    last = list(HOSE.finditer(text))[-1]
    short = text[: last.start()] + text[last.end() :]
    (alone,) = told(short)
    other = {"pump": "strainer", "strainer": "pump"}[taken]
    both = told(short.replace(f'name = "{other}"', f'name = "{taken}"', 1))
    assert sorted(one.code for one in both) == sorted(["S02", alone.code])
    assert alone.what in {one.what for one in both}
    merged = told(short.replace(f'"{other}"', f'"{taken}"'))
    assert sorted(one.code for one in merged) == sorted(["S02", alone.code])


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('height = "-0.62 m"', 'height = "0.62 m"', "S56"),
        ('height = "-0.62 m"', 'height = "-0.62 mm2"', "K07"),
        ('"7 m"', '"7 fathom"', "K06"),
    ],
)
def test_a_hose_that_is_missing_is_told_beside_a_wrong_value(old, new, code):
    last = list(HOSE.finditer(KETCH))[-1]
    short = KETCH[: last.start()] + KETCH[last.end() :]
    (alone,) = told(short)
    assert old in short
    for text, names in (
        (short, []),
        (short.replace('name = "strainer"', 'name = "pump"', 1), ["S02"]),
    ):
        found = told(text.replace(old, new, 1))
        assert sorted(one.code for one in found) == sorted([alone.code, code, *names])


def test_a_hose_copied_in_place_of_another_is_told_beside_the_one_that_is_missing():
    hoses = list(HOSE.finditer(KETCH))
    last, before = hoses[-1], hoses[-2]
    text = KETCH[: last.start()] + before[0] + KETCH[last.end() :]
    found = told(text)
    assert sorted(one.code for one in found) == ["S02", "S14"]
    (twice,) = (one for one in found if one.code == "S02")
    assert twice.line == text[: last.start()].count("\n") + 1


@pytest.mark.parametrize(
    ("old", "written", "meant"),
    [
        ('hull = "sailing monohull"', "ketch", "sailing monohull"),
        ('hull = "sailing monohull"', "Sailing  Monohull", "sailing monohull"),
        ('hull = "sailing monohull"', "catamaran", "sailing multihull"),
        ('hull = "sailing monohull"', "power cat", "motor multihull"),
        ('hull = "sailing monohull"', "motor sailer", "sailing monohull"),
        ('hull = "sailing monohull"', "submarine", None),
        ('current = "ac"', "AC", "ac"),
        ('current = "ac"', "shore power", "ac"),
        ('current = "ac"', "battery", "dc"),
    ],
)
def test_a_choice_in_the_words_of_the_trade_is_offered_as_the_choice(old, written, meant):
    key = old.partition(" ")[0]
    text = KETCH.replace(old, f'{key} = "{written}"', 1)
    (problem,) = told(text)
    assert problem.code == "K11" and marked(problem, text) == f'"{written}"'
    offered = re.findall(r'Did you mean "(.*?)"', problem.write)
    assert offered == ([meant] if meant else [])


@pytest.mark.parametrize(
    ("key", "written", "code", "write"),
    [
        ("length", "ca 2.4 m", "K04", 'length = "2.4 m +/- 10 %"'),
        ("length", "~2.4 m", "K04", 'length = "2.4 m +/- 10 %"'),
        ("warmest", "about 30 degC", "K04", 'warmest = "30 degC +/- 2 K"'),
        ("warmest", "30\u00b0", "K07", 'warmest = "30 degC"'),
        ("warmest", "86 degrees", "K07", 'warmest = "86 degF"'),
        ("height", "60 cm below the waterline", "K06", 'height = "-60 cm"'),
        ("length", "2.4 \u043c", "K06", "U+043C"),
    ],
)
def test_a_figure_as_people_say_it_is_told_how_it_is_written(key, written, code, write):
    text = re.sub(rf'^{key} = ".*"', f'{key} = "{written}"', KETCH, count=1, flags=re.MULTILINE)
    if key == "height":
        at = re.search(r'^at = \{.*height = ".*"', KETCH, re.MULTILINE)[0]
        text = KETCH.replace(at, re.sub(r'height = "[^"]*"', f'height = "{written}"', at), 1)
    (problem,) = told(text)
    assert problem.code == code and marked(problem, text) == f'"{written}"'
    assert write in problem.write
    for offered in re.findall(rf'{key} = ("[^"]*")', problem.write):
        assert not [
            one.code for one in _problems(text.replace(f'"{written}"', offered)) if not one.warning
        ]


def _problems(text):
    try:
        return load_written(*parsed("boat.toml", text)).warnings
    except SeaflowError as refused:
        return refused.problems


def test_a_name_told_twice_acts_on_nothing():
    (problem,) = told('["a\\u001b[31m"]\n["a\\u001b[31m"]\n')
    assert problem.line == 2 and "\x1b" not in problem.what


@pytest.mark.parametrize("text", [KETCH, MOTOR], ids=["ketch", "motor"])
def test_a_hose_with_its_ends_swapped_is_one_problem_at_that_hose(text):
    ends = re.compile(r'^from = (".*")\nto = (".*")', re.MULTILINE)
    for found in ends.finditer(text):
        wrong = text[: found.start()] + f"from = {found[2]}\nto = {found[1]}" + text[found.end() :]
        header = wrong[: found.start()].rpartition("[[hose]]")[0].count("\n") + 1
        (problem,) = told(wrong)
        assert (problem.code, problem.line) == ("S64", header), found[0]


@pytest.mark.parametrize("turned", [(0, 1), (1, 2), (0, 2), (0, 3), (0, 1, 2, 3)])
def test_each_hose_that_runs_the_wrong_way_is_told(turned):
    ends = list(re.finditer(r'^from = (".*")\nto = (".*")', KETCH, re.MULTILINE))
    wrong = KETCH
    for found in (ends[n] for n in sorted(turned, reverse=True)):
        wrong = (
            wrong[: found.start()] + f"from = {found[2]}\nto = {found[1]}" + wrong[found.end() :]
        )
    told_of = told(wrong)
    lines = [KETCH[: ends[n].start()].rpartition("[[hose]]")[0].count("\n") + 1 for n in turned]
    assert [(one.code, one.line) for one in told_of] == [("S64", line) for line in lines]


def test_a_hose_to_where_it_comes_from_is_one_problem():
    for found in re.finditer(r'^from = (".*")\nto = (".*")', KETCH, re.MULTILINE):
        for name in (found[1], found[2]):
            text = KETCH[: found.start()] + f"from = {name}\nto = {name}" + KETCH[found.end() :]
            (problem,) = told(text)
            assert problem.code == "S65" and marked(problem, text) == name


def test_a_file_without_hoses_is_one_problem():
    (problem,) = told(re.sub(r"\[\[hose\]\]\n(?:[^\[\n].*\n)*", "", KETCH))
    assert problem.code == "S27"


@pytest.mark.parametrize(
    ("typed", "minus"),
    [
        ("18 in", "-18 in"),
        ("1.5 ft", "-1.5 ft"),
        ("46 cm", "-46 cm"),
        ("0.46 m", "-0.46 m"),
        ("18 in +/- 1 in", "-18 in"),
    ],
)
def test_a_height_is_told_back_in_the_unit_in_which_it_was_written(typed, minus):
    intake = 'height = "-0.62 m"'
    (problem,) = (one for one in told(KETCH.replace(intake, f'height = "{typed}"', 1)))
    assert problem.code == "S56" and f'height = "{minus}"' in problem.write
    mended = KETCH.replace(intake, f'height = "{minus}"', 1)
    case = load_written(*parsed("boat.toml", mended)).case
    assert case.through_hull[0].level == pytest.approx(-0.46, abs=0.005)

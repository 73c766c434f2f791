"""Plain sheets: one invented pump in the many ways that tables of curves are printed."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sizing import KETCH, path_of

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.commas import comma_of, plain_number
from seaflow.boat.parts.own_parts import load_parts, missing_facts, of_the_case
from seaflow.boat.parts.part import given_points, pump_part_of
from seaflow.physics.electric.motor import motor_data
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.choose import candidates, left_out

# The pump of every sheet here is invented: L/min and m of head, at 230 V 50 Hz.
POINTS = ((0.0, 4.2), (10.0, 3.8), (20.0, 2.6), (30.0, 0.0))
PRINTED = (
    0.01  # of the largest: sheets are printed to three figures, those in gallons to two decimals
)
FUZZED = settings(max_examples=150, deadline=None)

# File name, what is told behind it, and the sheet. None of these is a sheet of a real pump.
FORMS = {
    "metric, comma parted": (
        "a.csv",
        "230 V 50 Hz",
        "Flow (l/min),Head (m)\n0,4.2\n10,3.8\n20,2.6\n30,0\n",
    ),
    "US units, aligned, a column more": (
        "b.txt",
        "60 Hz",
        "Galley pump, invented\nSupply: 220-240 V 50/60 Hz\n\nGPM    PSI    Power (W)   Eff. %\n"
        "0.00   5.97   40          0\n2.64   5.40   50          12\n5.28   3.70   60          20\n"
        "7.93   0      70          0\n\nFresh water at 20 C\n",
    ),
    "decimal commas, in m3/h": (
        "c.csv",
        "",
        "supply;230 V / 50 Hz\nQ [m³/h];H [m]\n0,00;4,2\n0,60;3,8\n1,20;2,6\n1,80;0,0\n",
    ),
    "digitised, slightly below nought": (
        "d.csv",
        "230/50, L/min, m",
        "0.02,4.19\n10.1,3.79\n20.0,2.61\n30.0,-0.01\n",
    ),
    "thousands by a comma": (
        "e.tsv",
        "thousands, 24 V DC",
        "Flow (l/h)\tHead (cm)\n0\t420\n600\t380\n1,200\t260\n1,800\t0\n",
    ),
    "lying on its side": (
        "f.txt",
        "",
        "Head (ft)   0   8.53  12.47  13.78\nFlow (GPH)   476 317 159 0\nVoltage: 12 V DC\n",
    ),
    "units on a line of their own": (
        "g.csv",
        "",
        "Flow,Head\nl/min,m\n0,4.2\n10,3.8\n20,2.6\n30,0\nVoltage,230 V\nFrequency,50 Hz\n",
    ),
    "units in the cells": (
        "h.csv",
        "12 V",
        "flow;pressure\n0 l/min;41.1 kPa\n10 l/min;37.2 kPa\n20 l/min;25.5 kPa\n30 l/min;0 kPa\n",
    ),
    "spaced thousands, mH2O, tolerance over the column": (
        "i.csv",
        "",
        "# plate: 1~ 230 V 50 Hz 0.4 A\nLPH;mH2O (+0 -10 %)\n0;4.2\n600;3.8\n1 200;2.6\n1 800;0\n",
    ),
    "swapped, mbar, quoted": (
        "j.csv",
        "115 V 60 Hz",
        '"Pressure, mbar","Flow, l/s"\n"411","0"\n"372","0.167"\n"255","0.333"\n"0","0.5"\n',
    ),
    "x and y": (
        "k.csv",
        "flow: gpm, head: ft, 24 V DC",
        "x,y\n0,13.78\n2.642,12.47\n5.283,8.53\n7.925,0\n",
    ),
    "single blanks": ("l.txt", "48 V DC", "Flow (L/min) Head (m)\n0 4.2\n10 3.8\n20 2.6\n30 0\n"),
    "points and commas": (
        "m.csv",
        "12 V",
        "Q l/h;H mm\n0;4.200,0\n600;3.800,0\n1.200;2.600,0\n1.800;0,0\n",
    ),
    "framed by strokes": (
        "o.txt",
        "12 V",
        "| Flow (gpm) | Head (ft) |\n|---|---|\n| 0 | 13.78 |\n| 2.642 | 12.47 |\n"
        "| 5.283 | 8.53 |\n| 7.925 | 0 |\n",
    ),
    "no words, units in the cells": (
        "p.txt",
        "12 V",
        "0 m   30 l/min\n2.6 m   20 l/min\n3.8 m   10 l/min\n4.2 m   0 l/min\n",
    ),
    "a flow at each head, in words": (
        "q.txt",
        "12 V",
        "Pump, invented\n7.925 GPM @ 0 ft\n"
        "5.283 GPM @ 8.53 ft\n2.642 gpm at 12.47 ft\n0 gpm @ 13.78 ft\n",
    ),
    "heads over the columns": (
        "r.csv",
        "12 V",
        "Model;GPH @ 0 ft;GPH @ 8.53 ft;GPH @ 12.47 ft;GPH @ 13.78 ft\nA 1;475.5;317;158.5;0\n",
    ),
    "a head told before each flow": (
        "s.txt",
        "12 V",
        "l/min @ 0 m: 30\nl/min @ 2.6 m: 20\nl/min @ 3.8 m: 10\nl/min @ 4.2 m: 0\n",
    ),
    "in two systems of units, once": (
        "t.csv",
        "12 V",
        "GPM,ft,l/min,m\n0,13.8,0,4.2\n2.6,12.5,10,3.8\n5.3,8.5,20,2.6\n7.9,0,30,0\n",
    ),
    "a word before each row": (
        "u.csv",
        "12 V",
        "point,flow [L/min],head [m]\nA,0,4.2\nB,10,3.8\nC,20,2.6\nD,30,0\n",
    ),
    "the pump before each row": (
        "v.csv",
        "12 V",
        "model;Flow (l/min);Head (m)\nX 12;0;4,2\nX 12;10;3,8\nX 12;20;2,6\nX 12;30;0\n",
    ),
    "gaps, a bar of units": (
        "n.csv",
        "12 V",
        "Flow [LPM] | Lift [feet]\n0 | 13.78\n10 | 12.47\n15 | -\n20 | 8.53\n30 | 0\n",
    ),
}


def read(folder, name, told, text):
    (folder / name).write_text(text, encoding="utf-8")
    return load_parts([", ".join(filter(None, (str(folder / name), told)))]).catalogue.own


def points_of(sheet):
    return [(flow * 60000.0, head) for flow, head in given_points(sheet)]


def assert_the_pump(sheet):
    assert len(points_of(sheet)) == len(POINTS)
    for (flow, head), (true_flow, true_head) in zip(points_of(sheet), POINTS, strict=True):
        assert flow == pytest.approx(true_flow, abs=PRINTED * 30.0)
        # a tolerance of +0 -10 % moves each head to its middle
        assert head == pytest.approx(true_head, abs=PRINTED * 4.2) or head == pytest.approx(
            0.95 * true_head
        )


def test_rows_of_two_pumps_are_no_one_curve(tmp_path):
    sheet = "setting,flow [L/min],head [m]\nlow,0,2\nlow,9,1\nhigh,20,2.6\nhigh,30,0\n"
    with pytest.raises(SeaflowError) as raised:
        read(tmp_path, "w.csv", "12 V", sheet)
    (problem,) = raised.value.problems
    assert (problem.code, problem.line) == ("P19", 4)


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_the_sheet_is_the_same_pump(tmp_path, form):
    (sheet,) = read(tmp_path, *FORMS[form])
    assert_the_pump(sheet)


def test_a_sheet_as_a_spreadsheet_saves_it_in_unicode(tmp_path):
    file = tmp_path / "pump.txt"
    file.write_text("Flow l/min\tHead m\n0\t4.2\n10\t3.8\n20\t2.6\n30\t0\n", encoding="utf-16")
    (sheet,) = load_parts([f"{file}, 24 V"]).catalogue.own
    assert_the_pump(sheet)


def test_what_a_sheet_tells_besides_is_kept(tmp_path):
    (sheet,) = read(tmp_path, *FORMS["US units, aligned, a column more"])
    assert (sheet.supply, sheet.voltage, sheet.frequency) == ("ac", 230.0, 60.0)
    assert sheet.title == "Galley pump, invented"
    assert [point.power for point in sheet.points] == [40.0, 50.0, 60.0, 70.0]
    assert sheet.written["points"][1]["flow"] == "2.64 gpm"  # as printed


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("Flow (l/min),Head (m)\n0,4\n30,0\n", ["supply"]),
        ("0,4\n30,0\n", ["supply", "flow", "head"]),
        ("Voltage: 230\nFlow (l/min);Head (m)\n0;4\n30;0\n", ["frequency"]),
        ("230 V 50/60 Hz\nFlow (l/min);Head (m)\n0;4\n30;0\n", ["frequency"]),
        ("Solid 230 V 50 Hz, dashed 60 Hz\nFlow (l/min);Head (m)\n0;4\n30;0\n", ["frequency"]),
        ("230 V\n50 Hz: left\nor 230 V 60 Hz\nl/min;m\n0;4\n30;0\n", ["frequency"]),
        ("115/230 V 60 Hz\nFlow (l/min);Head (m)\n0;4\n30;0\n", ["supply"]),
        ("12-24 V DC\nFlow (l/min);Head (m)\n0;4\n30;0\n", ["supply"]),
        ("12 V\nFlow (l/h);Head (m)\n0;4\n1,800;0\n", ["comma"]),
        ("12 V\nFlow (l/h);Head (m)\n0;4\n1.800;0\n", ["comma"]),
        ("12 V\nFlow;Head\n0;4\n30;0\n", ["flow", "head"]),
    ],
)
def test_what_is_missing_is_asked_and_each_answer_is_taken(tmp_path, text, asked):
    answers = {
        "supply": "12 V DC",
        "frequency": "60 Hz",
        "flow": "gpm",
        "head": "ft",
        "comma": "decimals",
    }
    file = tmp_path / "pump.csv"
    file.write_text(text, encoding="utf-8")
    missing = [problem.group for problem in missing_facts(str(file))]
    assert missing == asked
    told = ", ".join([str(file), *(f"{fact}: {answers[fact]}" for fact in missing)])
    assert not missing_facts(told)
    assert load_parts([told]).catalogue.own
    beside = "".join(f"{fact}: {answers[fact]}\n" for fact in missing if fact not in ("supply",))
    file.write_text(beside + text, encoding="utf-8")
    assert [problem.group for problem in missing_facts(str(file))] == [
        f for f in asked if f == "supply"
    ]


@pytest.mark.parametrize(
    ("line", "of_the_sheet", "volts", "hertz"),
    [
        ("frequency: 60 Hz", "220-240 V 50/60 Hz", 230.0, 60.0),
        ("supply: 240 V 50 Hz", "220-240 V 50/60 Hz", 240.0, 50.0),
        ("supply: 115 V", "115/230 V 60 Hz", 115.0, 60.0),
    ],
)
def test_a_line_above_tells_what_the_sheet_leaves_open(tmp_path, line, of_the_sheet, volts, hertz):
    text = f"{line}\n{of_the_sheet}\nl/min;m\n0;4\n30;0\n"
    (pump,) = read(tmp_path, "pump.csv", "", text)
    assert (pump.voltage, pump.frequency) == (volts, hertz)


def test_each_supply_and_each_model_is_a_pump_of_its_own(tmp_path):
    hertz = "230 V\nQ [l/min];50 Hz;60 Hz\nl/min;m;m\n0;4.2;6.0\n20;2.6;4.9\n30;0;3.7\n40;;0.5\n"
    pumps = read(tmp_path, "pump.csv", "", hertz)
    assert [(pump.name, pump.frequency) for pump in pumps] == [
        ("pump 50 Hz", 50.0),
        ("pump 60 Hz", 60.0),
    ]
    assert [len(pump.points) for pump in pumps] == [3, 4]
    models = "12 V\nHead (ft)  Alpha (gph)  Beta (gph)\n0  500  800\n6  350  600\n12  0  300\n"
    assert [pump.name for pump in read(tmp_path, "two.txt", "", models)] == [
        "two Alpha",
        "two Beta",
    ]


def test_of_several_speeds_the_highest_is_the_pump_and_the_lowest_its_least(tmp_path):
    text = "24 V\nl/min;m;l/min;m\n100 %;;50 %;\n".replace(
        "l/min;m;l/min;m\n100 %;;50 %;", "100 %;;50 %;\nl/min;m;l/min;m"
    )
    (pump,) = read(tmp_path, "pump.csv", "", text + "0;4.2;0;1.05\n20;2.6;10;0.65\n30;0;15;0\n")
    assert pump.least_speed == 0.5
    assert points_of(pump)[0] == (0.0, 4.2)


@pytest.mark.parametrize(
    ("text", "under"),
    [
        ("GPM @ 5 ft,GPM @ 10 ft\n8,4\n7,3\n", "GPM @ 5 ft"),  # two pumps, and no name of either
        ("l/min;m\n0;5\n10;9\n30;0\n", "9"),  # the point that makes the curve rise
        ("l/min;kPa\n0;50\n30;20\n30;10\n", "30"),
        ("Flow (l/min);NPSH (m)\n0;1\n30;2\n", "NPSH (m)"),
        ("l/min  m  W\n0  4.2  40\n10  50\n30  0  60\n", "10"),  # is it the head that is missing
        ("l/min,m\n0,4.2\n30,0\nat 60 Hz\n0,6\n36,0\n", "at 60 Hz"),  # one curve out of two
        ("Flow (l/min),Head (m)\n0,0,4,2\n30,0,0,0\n", "4"),  # decimal commas in commas
        ("1,5,20\n2,5,10\n", "1"),
        ("Flow (m);Head (m)\n0;4\n30;0\n", "Flow (m)"),
        ("l/min;m\n1,250.5;4,2\n2,250.5;0\n", "1,250.5"),
        ("Flow;Head;Flow\n0;4;0\n30;0;20\n;;\nhead: m\nflow: l/min\n", None),  # two flows, one head
    ],
)
def test_what_could_be_misread_is_refused_where_it_stands(tmp_path, text, under):
    if under is None:
        assert len(read(tmp_path, "pump.csv", "24 V", text)) == 2
        return
    with pytest.raises(SeaflowError) as refused:
        read(tmp_path, "pump.csv", "24 V", text)
    (problem,) = [one for one in refused.value.problems if not one.warning]
    line = text.splitlines()[problem.line - 1]
    assert line[problem.column - 1 :][: problem.length] == under


@pytest.mark.parametrize(
    ("numbers", "parts"),
    [
        (["12,5", "3"], "decimals"),
        (["0,750"], "decimals"),
        (["1,250.5"], "thousands"),
        (["1,250", "3.5"], "thousands"),
        (["1,250,000"], "thousands"),
        (["1,250"], "either"),
        (["1,250.5", "3,5"], "both"),
        (["1.250", "3"], "either point"),
        (["1.250", "3.5"], "thousands"),
        (["1.250.000", "1.250"], "decimals"),
        (["1.250,5"], "decimals"),
    ],
)
def test_a_comma_is_read_only_where_it_can_be_one_thing(numbers, parts):
    assert comma_of(numbers) == parts


@given(st.integers(0, 9_999_999), st.sampled_from(("decimals", "thousands")))
@FUZZED
def test_a_printed_number_comes_back(number, parts):
    value = number / 100.0
    printed = f"{value:,.2f}"
    if parts == "decimals":
        printed = printed.translate(str.maketrans(",.", ".,"))
    assert float(plain_number(printed, parts)) == pytest.approx(value, rel=1e-12)


@given(st.integers(0, 2**32))
@FUZZED
def test_the_look_of_a_sheet_never_changes_the_pump(tmp_path_factory, seed):
    """The same curve by another hand: parting, units, decimals, order, lines above and below."""
    draw = random.Random(seed)
    flow, factor = draw.choice(
        [("l/min", 1.0), ("LPH", 60.0), ("m³/h", 0.06), ("GPM", 1 / 3.785411784), ("L/s", 1 / 60)]
    )
    head, up = draw.choice(
        [("m", 1.0), ("ft", 1 / 0.3048), ("psi", 1.41986), ("kPa", 9.7891), ("bar", 0.097891)]
    )
    mark = draw.choice([",", ";", "\t", "    ", " | "])
    comma = mark != "," and draw.random() < 0.4
    rows = [[f"{a * factor:.4f}", f"{b * up:.4f}"] for a, b in POINTS]
    names = draw.choice(
        [("Flow ({})", "Head ({})"), ("Q [{}]", "H [{}]"), ("{}", "{}"), ("Flow {}", "TDH {}")]
    )
    header = [name.format(unit) for name, unit in zip(names, (flow, head), strict=True)]
    table = [header, *rows]
    if draw.random() < 0.5:
        table = [row[::-1] for row in table]
    if draw.random() < 0.3:
        table[1:] = table[:0:-1]
    lines = [mark.join(row) for row in table]
    if comma:
        lines[1:] = [line.replace(".", ",") for line in lines[1:]]
    above = draw.sample(["Model: Demo", "Voltage: 230 V", "Frequency: 50 Hz"], 3)
    text = "\n".join([*above, "", *lines, "", "fresh water"]) + "\n"
    (sheet,) = read(tmp_path_factory.mktemp("sheet"), "pump.txt", "", text)
    for (a, b), (true_a, true_b) in zip(points_of(sheet), POINTS, strict=True):
        assert a == pytest.approx(true_a, abs=0.02)
        assert b == pytest.approx(true_b, abs=0.02)


PIECES = [
    "0",
    "4.2",
    "1,250",
    "l/min",
    "GPM",
    "m",
    "50 Hz",
    "230 V",
    ";",
    ",",
    "\t",
    "  ",
    "\n",
    "\n",
    "±",
    "(",
    ")",
    "[",
    '"',
    "Flow",
    "Head",
    "%",
    "-",
    "+0 -10 %",
    ":",
    "=",
    "#",
    "/",
    "e9",
    "9" * 30,
    "é",
    "x",
    "nan",
]


@given(
    st.lists(st.sampled_from(PIECES), max_size=40), st.sampled_from(["", "12 V", "230/50, gpm, ft"])
)
@FUZZED
def test_no_sheet_breaks_the_reader(tmp_path_factory, pieces, told):
    try:
        read(tmp_path_factory.mktemp("sheet"), "pump.csv", told, "".join(pieces))
    except SeaflowError as error:
        assert all(problem.what and problem.write for problem in error.problems)


# ------------------------------------------------------------------------- what the pump draws


def watts_of(folder, told, text):
    (sheet,) = read(folder, "pump.csv", told, text)
    return pump_part_of(sheet), [watts for _, watts in pump_part_of(sheet).power]


AMPS = "{}\nl/min;m;{}\n0;4.2;2\n20;2.6;3\n30;0;4\n"


def test_amps_are_watts_by_the_volts_of_their_column_and_the_power_factor(tmp_path):
    """By hand: volts times amps; on AC times the power factor, told or usual of such a motor."""
    _, watts = watts_of(tmp_path, "", AMPS.format("24 V DC", "Amps"))
    assert watts == pytest.approx([48.0, 72.0, 96.0])
    part, watts = watts_of(tmp_path, "", AMPS.format("24 V DC", "Current (A) at 12 V"))
    assert watts == pytest.approx([24.0, 36.0, 48.0]) and not part.power_is_typical
    _, watts = watts_of(tmp_path, "", AMPS.format("230 V 50 Hz\ncos phi: 0.8", "A"))
    assert watts == pytest.approx([368.0, 552.0, 736.0])
    part, watts = watts_of(tmp_path, "", AMPS.format("230 V 50 Hz", "A"))
    usual = motor_data("induction ac")["power_factor"]
    assert watts == pytest.approx([460.0 * usual, 690.0 * usual, 920.0 * usual])
    assert part.power_is_typical
    told = load_parts([str(tmp_path / "pump.csv")]).warnings
    assert [(one.code, one.column) for one in told] == [("P22", 9)]


def test_what_a_pump_draws_beside_its_flows_at_heads_is_read_and_the_rest_remarked(tmp_path):
    text = "12 V\nModel,GPH @ 0 ft,GPH @ 6 ft,Amps,Weight\nA,420,300,2.5,1\nB,700,500,4,2\n"
    pumps = read(tmp_path, "two.csv", "", text)
    watts = [[watts for _, watts in pump_part_of(pump).power] for pump in pumps]
    assert watts == [pytest.approx([30.0, 30.0]), pytest.approx([48.0, 48.0])]
    told = {(one.code, one.what) for one in load_parts([str(tmp_path / "two.csv")]).warnings}
    assert ("P20", '"Weight" is not read') in told


def test_a_column_called_a_among_others_is_a_pump_and_no_current(tmp_path):
    text = "12 V\nHead (m);A (l/min);B (l/min)\n0;30;40\n2;20;30\n4;0;10\n"
    assert [pump.name for pump in read(tmp_path, "two.csv", "", text)] == ["two A", "two B"]
    assert all(not pump.points[0].current for pump in read(tmp_path, "two.csv", "", text))


# ------------------------------------------------------------------------ one pump, printed twice

METRIC = "{}Flow (l/min),Head (m)\n0,4.2\n10,3.8\n20,2.6\n30,0\n"
IN_US = "{}GPM,ft\n0,13.8\n2.6,12.5\n5.3,8.5\n7.9,0\n"


def test_a_pump_whose_sheet_is_given_twice_stands_once_under_both_names(tmp_path):
    (tmp_path / "metric.csv").write_text(METRIC.format("12 V\n"), encoding="utf-8")
    (tmp_path / "us.csv").write_text(IN_US.format("12 V\n"), encoding="utf-8")
    files = [str(tmp_path / name) for name in ("metric.csv", "us.csv")]
    loaded = load_parts(files)
    (pump,) = loaded.catalogue.own
    assert [(one.code, one.file) for one in loaded.warnings] == [("P21", files[1])]
    assert loaded.catalogue.pump("us").name == loaded.catalogue.pump("metric").name == pump.name
    (tmp_path / "us.csv").write_text(IN_US.format("24 V\n"), encoding="utf-8")
    assert len(load_parts(files).catalogue.own) == 2  # another plate is another pump
    (tmp_path / "us.csv").write_text(IN_US.format("12 V\nname: metric\n"), encoding="utf-8")
    assert len(load_parts(files).catalogue.own) == 1
    other = IN_US.format("12 V\nname: metric\n").replace("8.5", "9.5")
    (tmp_path / "us.csv").write_text(other, encoding="utf-8")
    with pytest.raises(SeaflowError, match="P04"):
        load_parts(files)


# --------------------------------------------------------------------------- its kind, its supply


@pytest.mark.parametrize(
    ("line", "title", "kind"),
    [
        ("type: magnet-drive centrifugal", None, "magnet-drive centrifugal"),
        ("Type: XY 500", "XY 500", "centrifugal by its curve"),
        ("type:", None, "centrifugal by its curve"),
        ("Bilge thing\ntype: diaphragm", "Bilge thing", "diaphragm"),
    ],
)
def test_a_type_is_the_kind_of_pump_if_it_says_one(tmp_path, line, title, kind):
    (sheet,) = read(tmp_path, "pump.csv", "12 V", METRIC.format(f"{line}\n"))
    assert (sheet.title, pump_part_of(sheet).kind) == (title, kind)


def test_a_curve_that_ends_at_a_low_head_is_no_pump_that_could_burst_a_hose(tmp_path):
    def titles(heads):
        text = "12 V\nl/min;m\n" + "".join(f"{flow};{head}\n" for flow, head in heads)
        (sheet,) = read(tmp_path, "pump.csv", "", text)
        return {one.title for one in cautions("size", [pump_part_of(sheet).kind])}

    shut = "Shut delivery"
    assert shut not in titles([(0, 4.2), (20, 2.6), (30, 0)])
    assert shut in titles([(0, 12.0), (20, 6.0), (30, 0)])  # so may a diaphragm
    assert shut in titles([(5, 4.2), (20, 2.6), (30, 0)])  # nothing shows what it does shut off


HERTZ = "Q [l/min];50 Hz;60 Hz\nl/min;m;m\n0;4.2;6.0\n20;2.6;4.9\n30;0;3.7\n40;;0.5\n"


def test_a_sheet_takes_the_supply_it_does_not_tell_from_the_case(tmp_path):
    case = path_of(KETCH)
    (tmp_path / "pump.csv").write_text(METRIC.format(""), encoding="utf-8")
    loaded = load_parts([of_the_case(str(tmp_path / "pump.csv"), str(case))])
    part = loaded.catalogue.pump("pump")
    assert (part.current, part.voltage, part.frequency) == ("ac", 230.0, 50.0)
    assert [one.code for one in loaded.warnings] == ["P22"]
    assert ("230 V 50 Hz", "that of the case") in [(x.value, x.source) for x in part.assumptions]
    (tmp_path / "pump.csv").write_text(METRIC.format("12 V\n"), encoding="utf-8")
    told = str(tmp_path / "pump.csv")
    assert of_the_case(told, str(case)) == told  # it tells
    columns = "Volts;Hz;l/min;m\n230;60;0;4.2\n;;20;2.6\n;;30;0\n"
    (tmp_path / "pump.csv").write_text(columns, encoding="utf-8")
    with pytest.raises(SeaflowError) as refused:
        load_parts([of_the_case(told, str(case))])  # what its columns tell is not passed over
    assert [one.code for one in refused.value.problems if not one.warning] == ["P18"]


def test_only_the_curve_for_the_supply_of_the_boat_is_a_candidate(tmp_path):
    (tmp_path / "pump.csv").write_text(f"230 V\n{HERTZ}", encoding="utf-8")
    known = load_parts([str(tmp_path / "pump.csv")]).catalogue
    assert len(known.own) == 2
    for hertz, other in ((50.0, "pump 60 Hz"), (60.0, "pump 50 Hz")):
        case = load_case(str(path_of(KETCH)), known).case
        case = replace(case, supply=replace(case.supply, frequency=hertz))
        mine = [part.name for part in candidates(case, case.pump[0]) if not part.invented]
        assert mine == [f"pump {hertz:g} Hz"]
        (said,) = left_out(case, case.pump[0])
        assert (said.kind, said["others"]) == ("design.other_curves", (other,))


def test_a_half_row_is_named_and_no_line_under_the_table_or_bare_rating_is_a_title(tmp_path):
    text = "12 V DC\n120 VA\nFlow (l/min),Head (m)\n0,4\n10,n/a\n30,0\n40,\nNever run dry\n"
    file = tmp_path / "plain.csv"
    file.write_text(text, encoding="utf-8")
    loaded = load_parts([str(file)])
    (sheet,) = loaded.catalogue.own
    assert not sheet.title and len(sheet.points) == 2
    assert {one.line for one in loaded.warnings} >= {2, 5, 7, 8}


def test_a_point_is_told_what_it_parts_and_cannot_part_one_digit(tmp_path):
    text = "12 V DC\nFlow (l/h);Head (m)\n0;4{}\n1.800;0\n"
    told = [("point: thousands", 0.0005), ("point: decimals", 0.0000005)]
    for what, flow in told:
        (sheet,) = read(tmp_path, "plain.csv", what, text.format(""))
        assert sheet.points[-1].flow == pytest.approx(flow)
    with pytest.raises(SeaflowError) as error:
        read(tmp_path, "plain.csv", "comma: decimals", text.format(".5"))
    assert "P19" in [problem.code for problem in error.value.problems]

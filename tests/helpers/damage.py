"""Damage to the text of a file, line by line, as a slip, a paste or a bad disk would do it."""

import json
import re

UNITS = (
    *("mm", "m", "ft", "L/min", "gpm", "degC", "degF", "K", "kPa", "bar", "V", "Hz", "W", "kW"),
    *("BTU/h", "%", "deg", "s", "h", "", "spans", "m**2", "(", "mm +/- 10 %", "m ± 1 K", "+/-"),
)
NUMBERS = (
    *("0", "-1", "1", "1e9", "1e-9", "1e400", "3,5", "1/0", "1 1/4", "nan", "inf", "--2", "٣"),
    *("9" * 400, "1:05", "-0", "1_000", "0x10", "27"),
)
TEXTS = ("", "x", "none", "yes", "no", "é\x1b[2J", "a=b", "\u202e", "=1+1", "{x}", "%s", "'", '"\\')
SYMBOLS = '[]{}"=#.,\n\r\t\\ \x00\x85é\x1b\u2028'
FACTORS = (0.0, 1e-3, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 1e3, -1.0)
QUANTITY = re.compile(r'"(-?[\d.]+) ([A-Za-z/0-9%]+)"')


def _value_of(line):
    return line.partition(" = ")[2]


def _with_value(line, value):
    name, equals, _ = line.partition(" = ")
    return name + equals + value if equals else line


def _delete(draw, lines, one):
    del lines[one]


def _repeat(draw, lines, one):
    lines.insert(draw.randrange(len(lines)), lines[one])


def _swap_values(draw, lines, one):
    other = draw.randrange(len(lines))
    values = _value_of(lines[one]), _value_of(lines[other])
    lines[one] = _with_value(lines[one], values[1])
    lines[other] = _with_value(lines[other], values[0])


def _swap_lines(draw, lines, one):
    other = draw.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _change_unit(draw, lines, one):
    number = _value_of(lines[one]).strip('"').split(" ")[0]
    lines[one] = _with_value(lines[one], f'"{number} {draw.choice(UNITS)}"')


def _change_number(draw, lines, one):
    unit = _value_of(lines[one]).strip('"').partition(" ")[2]
    lines[one] = _with_value(lines[one], f'"{draw.choice(NUMBERS)} {unit}"')


def _change_text(draw, lines, one):
    lines[one] = _with_value(lines[one], json.dumps(draw.choice(TEXTS), ensure_ascii=False))


def _unquote(draw, lines, one):
    lines[one] = _with_value(lines[one], _value_of(lines[one]).strip('"'))


def _insert_symbol(draw, lines, one):
    line = lines[one]
    place = draw.randrange(len(line) + 1)
    lines[one] = line[:place] + draw.choice(SYMBOLS) + line[place:]


def _cut_off(draw, lines, one):
    del lines[one + 1 :]


def _scale(draw, lines, one):
    """Multiply one quantity; this is the change that most often leaves a file that can be read."""
    found = [number for number, line in enumerate(lines) if QUANTITY.search(line)]
    if found:
        number, factor = draw.choice(found), draw.choice(FACTORS)
        lines[number] = QUANTITY.sub(
            lambda hit: f'"{float(hit[1]) * factor:.12g} {hit[2]}"', lines[number], count=1
        )


DAMAGE = (
    *(_scale, _delete, _repeat, _swap_values, _swap_lines, _change_unit, _change_number),
    *(_change_text, _unquote, _insert_symbol, _cut_off),
)


def damaged(draw, text):
    """A text with up to three changes made to its lines; half of all can still be read."""
    lines = text.split("\n")
    only = (_scale,) if draw.random() < 0.5 else DAMAGE
    for _ in range(draw.randrange(4)):
        if lines:
            draw.choice(only)(draw, lines, draw.randrange(len(lines)))
    return "\n".join(lines)

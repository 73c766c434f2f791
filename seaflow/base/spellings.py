"""How the trade spells units, and how the registry of units does."""

from __future__ import annotations

from collections.abc import Mapping

# How the trade writes units, and how the registry spells them.
SPELLINGS = (
    ("tons of refrigeration", "ton"),
    ("ton of refrigeration", "ton"),
    ("tons", "ton"),
    ("US gallons", "gal"),
    ("US gallon", "gal"),
    ("US gal", "gal"),
    ("imperial gallons", "imp_gal"),
    ("imperial gallon", "imp_gal"),
    ("imp gallon", "imp_gal"),
    ("imp gal", "imp_gal"),
    ("BTU/hr", "btu/h"),
    ("Btu/hr", "btu/h"),
    ("BTUH", "btu/h"),
    ("in Hg", "inHg"),
    ("square metres", "m**2"),
    ("delta degF", "delta_degree_Fahrenheit"),
    ("delta degC", "delta_degree_Celsius"),
    ("° C", "degC"),
    ("° F", "degF"),
    ("°C", "degC"),
    ("°F", "degF"),
    ("deg C", "degC"),
    ("deg F", "degF"),
    ("℃", "degC"),
    ("℉", "degF"),
    ("º C", "degC"),  # the mark of an ordinal, beside the digits of some keyboards
    ("ºC", "degC"),
    ("º F", "degF"),
    ("ºF", "degF"),
    ("°", "deg"),
    ("%", "percent"),
    ("²", "**2"),
    ("³", "**3"),
    ("·", "*"),
    ("″", "in"),
    ('"', "in"),
)
# Horsepower, and volts times amperes: said of a motor, so that no unit cools by so much.
OF_A_MOTOR = r"(?:hp|horse ?power|ps|cv|ch|k?va)"
# How the trade spells units of one quantity, whatever else the letters may mean to pint.
TRADE: Mapping[str, Mapping[str, str]] = {
    unit: {word: ours for ours, words in spelled.items() for word in words.split("|")}
    for unit, spelled in {
        "degC": {"degC": "C|c|Celsius|celsius|deg. C", "degF": "F|f|Fahrenheit|fahrenheit|deg. F"},
        "K": {"degC": "C|c|Celsius", "degF": "F|f|Fahrenheit"},
        "W": {
            "btu/h": "BTU|btu|Btu|BTUs|BTU/HR|BTU/H|btuh|BTUh|Btuh",
            "kbtu/h": "kBTU|kBtu|kbtu|KBTU|kBTU/h|kBtu/h",
            "kW": "KW|kw|Kw",
            "W": "w|watt|watts|Watt|Watts",
            "hp": "HP|Hp|horsepower",
        },
        "m3/s": {
            "gpm": "GPM|Gpm|gal/min|gallons per minute|gallons/min",
            "gph": "GPH|Gph|gallons per hour",
            "L/min": "LPM|Lpm|l/mn|litres per minute|liters per minute",
            "L/h": "LPH|Lph|litres per hour|liters per hour",
        },
        "Pa": {
            "psi": "PSI|Psi|psig|PSIG|lb/in2",
            "bar": "Bar|BAR|barg|bars",
            "kPa": "kpa|KPA|KPa|kPag",
            "inHg": "inHG|inhg|in. Hg",
        },
        "V": {"V": "v|volt|volts|Volt|Volts|VAC|VDC|Vac|Vdc|V AC|V DC|V~"},
        "Hz": {"Hz": "hz|HZ|Hertz|cycles"},
        "A": {"A": "a|amp|amps|Amp|Amps|A AC|A DC"},
        "m3": {
            "L": "l|lt|ltr|ltrs|Litre|Litres|Liter|Liters",
            "gal": "gals|Gal|Gals|GAL|Gallon|Gallons|USG",
            "quart": "qts|Qt|QT|Quarts",
            "pint": "pts",
            "imp_gal": "imp. gal|imp gals|UK gal|UK gallon|UK gallons",
        },
        "m": {
            "ft": "'|’|′|Ft|FT|foot|feet|Feet",
            "in": "”|″|In|IN|inch|inches|Inch|Inches|''",
            "mm": "MM|Mm|millimetres|millimeters",
            "cm": "CM|Cm|centimetres|centimeters",
            "m": "metre|metres|meter|meters",
        },
        "g/kg": {"g/kg": "‰|o/oo|ppt|PPT", "psu": "PSU"},
        "m/s": {"kn": "Kn|kts|Kts|knots|Knots|knot"},
        "s": {
            "s": "S|sec|secs|Sec|second|seconds",
            "min": "mins|Min|minute|minutes",
            "h": "H|hr|hrs|hour|hours",
            "day": "days|d",
            "week": "weeks|wk|wks",
            "year": "years|yrs|yr",
        },
    }.items()
}

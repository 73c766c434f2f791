"""The sea by place: found as people type it, warmer in a harbour, and never over what was read."""

import math
from dataclasses import fields, replace
from pathlib import Path

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.seas import SEASONS, NoSuchPlace, below_warmest, places, sea_at, taken_for
from seaflow.physics.water.seawater import freezing_temperature
from seaflow.studies.design.certainty.spreads import season

KETCH = "cases/ketch-one-unit.toml"
PRINTED = 0.101  # K; the table and the figures are each rounded to 0.1 K

# Warmest month, mean of the three warmest, coolest of the six warmest, coldest, and salinity, from
# the monthly means of NOAA ERSST v5, 1991 to 2020, averaged over the box of each region.
PUBLISHED = [
    ("central and southern Baltic", 18.4, 17.2, 8.2, 2.8, 7),
    ("Balearics and Gulf of Lions", 25.5, 24.6, 18.5, 13.8, 38),
    ("Aegean", 25.6, 25.0, 19.8, 15.5, 38),
    ("Levant", 27.7, 27.1, 22.3, 17.1, 39),
    ("Persian Gulf", 33.0, 32.6, 27.5, 20.4, 40),
    ("Queensland", 28.5, 28.3, 26.9, 24.3, 35),
    ("Lesser Antilles", 29.2, 29.0, 28.0, 26.4, 35),
    ("Bahamas", 29.3, 29.1, 27.4, 25.1, 36),
    ("south Florida and Keys", 29.9, 29.7, 27.0, 23.6, 36),
    ("Salish Sea", 15.1, 14.6, 10.8, 8.2, 32),
]

# NOAA tide stations, 17 to 31 years each: the hottest of the warmest months, and the swing of a
# summer day, half of which lies over its mean. The afternoon of a hot summer is about their sum.
STATIONS = [
    ("Newport", 22.8, 1.9),
    ("Cape Cod", 24.2, 1.0),  # Woods Hole
    ("Beaufort", 29.6, 1.2),
    ("Miami", 32.3, 1.1),  # Virginia Key
    ("New Orleans", 32.3, 2.0),  # Bay St Louis
]


@pytest.mark.parametrize("name, warmest, typical, used, coldest, salinity", PUBLISHED)
def test_open_water_is_as_published(name, warmest, typical, used, coldest, salinity):
    found = sea_at(name).open_water
    assert found.name == name
    assert found.warmest == pytest.approx(warmest, abs=PRINTED)
    assert found.typical == pytest.approx(typical, abs=PRINTED)
    assert found.coldest_used == pytest.approx(used, abs=PRINTED)
    assert min(found.months) == pytest.approx(coldest, abs=PRINTED)
    assert round(found.salinity) == pytest.approx(salinity, abs=1)


@pytest.mark.parametrize("place, hottest_month, swing", STATIONS)
def test_the_afternoon_of_a_hot_summer_at_a_station_lies_in_the_band(place, hottest_month, swing):
    sea = sea_at(place)
    assert hottest_month + swing / 2 == pytest.approx(sea.warmest, abs=sea.warmest_half_width)


def test_a_closed_cove_reaches_what_was_read_in_one():
    sea = sea_at("south Florida, shallow cove")  # 38.4 and 38.9 degC, 1.5 m deep
    assert all(abs(read - sea.warmest) < sea.warmest_half_width for read in (38.4, 38.9))


@pytest.mark.parametrize("place", places(), ids=lambda place: place.name)
def test_every_place_is_found_by_all_its_names_and_is_water(place):
    assert len(place.months) == 12
    for name in (place.name, *place.also):
        found = sea_at(name).open_water
        assert found is place or (name in found.also and found.warmest >= place.warmest)
    sea = sea_at(place.name)
    assert sea.open_water is place
    assert place.kind in SEASONS
    assert sea.coldest <= sea.typical <= max(sea.months) < sea.warmest < 42.0
    assert sea.heating_from > freezing_temperature(sea.salinity)
    assert sea.heating_from < min(sea.months)
    assert 0.1 <= place.between_years <= 1.5
    cove = sea_at(f"{place.name}, shallow cove")
    assert cove.open_water is place and cove.warmest > sea.warmest and cove.water != sea.water


def test_nobody_heats_from_water_that_is_nearly_ice():
    """Less than a fifth of a degree above freezing is ice in a harbour: our assumption."""
    for sea in (sea_at(place.name) for place in places()):
        ice = float(freezing_temperature(sea.salinity)) + 0.2
        coldest = min(sea.open_water.months) - 5.0  # as the table says of a winter in a harbour
        assert sea.heating_from == pytest.approx(max(coldest, ice), abs=0.01), sea.name


@pytest.mark.parametrize(
    "typed, meant",
    [
        ("LESSER ANTILLES", "Lesser Antilles"),
        ("Carribean", "western Caribbean"),
        ("Mallorca", "Balearics and Gulf of Lions"),
        ("palma de mallorca", "Balearics and Gulf of Lions"),
        ("Cote d'Azur", "Tyrrhenian Sea"),
        ("chesapeake bay", "Chesapeake and Delaware"),
        ("Sea of Cortés", "Sea of Cortez"),
        ("phuket thailand", "Andaman Sea"),
        ("tromso", "north Norway"),
        ("Fort Lauderdale marina", "south Florida and Keys"),
        ("shallow cove in the Bahamas", "Bahamas, shallow cove"),
        ("Marina del Rey", "southern California"),
        ("St. Martin", "Virgin Islands and Puerto Rico"),
    ],
)
def test_places_are_found_as_people_type_them(typed, meant):
    assert sea_at(typed).name == meant


@pytest.mark.parametrize("typed", ["Lesser Antiles", "Carribean", "Agean", "Chesepeake Bay"])
def test_a_slip_of_the_pen_is_asked_about(typed):
    doubt = taken_for(typed, sea_at(typed))
    assert doubt is not None and sea_at(typed).name in doubt["what"]


@pytest.mark.parametrize("typed", ["in the Aegean Sea", "Antigua harbour", "S. Florida", "tromso"])
def test_other_words_for_a_place_are_no_slip(typed):
    assert taken_for(typed, sea_at(typed)) is None


def test_no_name_of_the_table_is_a_slip():
    for name in (name for place in places() for name in (place.name, *place.also)):
        doubt = taken_for(name, sea_at(name))
        assert doubt is None or "several" in doubt["what"]


@pytest.mark.parametrize("typed", ["Atlantis", "Lake Michigan", "", "north", "123", "the sea"])
def test_what_is_no_place_names_only_places_that_are(typed):
    with pytest.raises(NoSuchPlace) as missing:
        sea_at(typed)
    assert set(missing.value.near) <= {place.name for place in places()}


def test_of_seas_of_one_name_the_warmest_is_taken():
    found = sea_at("Mediterranean").open_water
    assert all(
        found.warmest >= place.warmest for place in places() if "Mediterranean" in place.also
    )


def test_seasons_order_as_the_seas_do_and_follow_from_the_table():
    below = [below_warmest(name) for name in SEASONS]
    assert all(2.0 < one < 4.0 for one in below)  # 3 K less 0.5, and 0.1 to 1.4 K
    assert below[0] == min(below)
    with pytest.raises(KeyError):
        below_warmest("polar")


def loaded(tmp_path, sea):
    """The ketch in a sea as it is written."""
    text = Path(KETCH).read_text(encoding="utf-8")
    before, _, rest = text.partition("[sea]")
    after = rest[rest.index("[supply]") :]
    file = tmp_path / "boat.toml"
    file.write_text(f"{before}[sea]\n{sea}\n\n{after}", encoding="utf-8")
    return load_case(str(file)).case


def test_a_place_fills_a_case_and_each_value_tells_where_it_is_from(tmp_path):
    case = loaded(tmp_path, 'place = "Lesser Antilles"')
    sea = sea_at("Lesser Antilles")
    assert (case.sea.warmest, case.sea.coldest) == pytest.approx((sea.warmest, sea.coldest))
    assert case.sea.months == pytest.approx(sea.months)
    assert case.spreads["sea", "warmest"] == sea.warmest_half_width
    told = {item.meaning: item.source for item in case.assumptions if item.subject == "the sea"}
    assert {"warmest", "typical", "coldest", "months", "salinity"} <= set(told)
    assert "Huang and others 2017" in told["warmest"]
    assert season(case).source.kind == "design.season_of_place"
    cooler = replace(case, sea=replace(case.sea, warmest=case.sea.warmest - 2.0))
    colder = [at - 2.0 for at in season(case).temperatures]
    assert season(cooler).temperatures == pytest.approx(colder)


def test_a_thermometer_in_the_harbour_beats_the_table_and_the_answer_says_so(tmp_path):
    case = loaded(tmp_path, 'place = "Lesser Antilles"\nwarmest = "29 degC"')
    assert case.sea.warmest == 29.0 and ("sea", "warmest") not in case.spreads
    assert max(case.sea.months) <= 29.0 and case.sea.typical <= 29.0
    beaten = [item for item in case.assumptions if item.meaning == "warmest by its place"]
    assert [item.value for item in beaten] == ["32.2 degC"] and "beats" in beaten[0].source
    cold = loaded(tmp_path, 'place = "Lesser Antilles"\nwarmest = "20 degC"')
    assert cold.sea.coldest <= cold.sea.warmest == 20.0


def test_what_the_case_says_stands(tmp_path):
    written = 'place = "Bahamas"\nwarmest = "31 degC"\ntypical = "28 degC"\ncoldest = "20 degC"\n'
    case = loaded(tmp_path, written + 'salinity = "30 g/kg"\nheating_from = "12 degC"')
    sea = case.sea
    assert (sea.warmest, sea.typical, sea.coldest) == (31.0, 28.0, 20.0)
    assert (sea.salinity, sea.heating_from, sea.months) == (30.0, 12.0, ())


def test_a_place_that_is_not_known_is_the_only_complaint(tmp_path):
    with pytest.raises(SeaflowError) as refused:
        loaded(tmp_path, 'place = "Atlantis"')
    assert [problem.code for problem in refused.value.problems] == ["K17"]


def test_a_season_by_name_is_still_read(tmp_path):
    case = loaded(tmp_path, 'warmest = "30 degC"\nseason = "tropical"')
    found = season(case)
    assert found.source.kind == "design.season_by_name"
    typical = replace(case.sea, typical=30.0 - below_warmest("tropical"), season=None)
    same = season(replace(case, sea=typical))
    assert found.temperatures == pytest.approx(same.temperatures)


def test_no_figure_of_a_sea_is_missing():
    sea = sea_at("Aegean")
    numbers = (getattr(sea, field.name) for field in fields(sea))
    assert all(math.isfinite(value) for value in numbers if isinstance(value, float))

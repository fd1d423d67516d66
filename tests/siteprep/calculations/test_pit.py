"""Pit: values of ASME A17.1 2.2 and NEC 620 as read in public copies; light and stop switches from memory."""

from fractions import Fraction

import pytest

from coordination.siteprep.calculations.pit import Ladder, PitInputs, Sump, calculate
from coordination.siteprep.calculations.values import feet, inches


def outcomes(**given):
    return {f.key: f.outcome for f in calculate(PitInputs(**given)).findings}


def sump(**changed):
    return Sump(**{"length": inches(18), "width": inches(18), "usable_depth": inches(12), **changed})


@pytest.mark.parametrize(("occupied", "least"), [(False, inches(14)), (True, inches("16.5")), (None, None)])
def test_planning_depth(occupied, least):
    """A maker's planning notes: 14 in, 16 1/2 in with occupied space below."""
    result = calculate(PitInputs(occupied_below=occupied, depth=inches(14)))
    assert result.planning_depth.amount == least
    expected = {inches(14): "met", inches("16.5"): "not met", None: "unknown"}[least]
    assert {f.key: f.outcome for f in result.findings}["planning depth"] == expected


@pytest.mark.parametrize(("depth", "needed"), [(inches(35), False), (inches("35.0625"), True), (None, None)])
def test_ladder_deeper_than_35_inches(depth, needed):
    """A17.1 2.2.4.2 (older editions: 36 in)."""
    assert calculate(PitInputs(depth=depth)).ladder_needed.amount == needed


def test_ladder_dimensions():
    """A17.1 2.2.4.2: 48 in above the sill, rungs 16 in wide, 12 in apart, 7 in clear behind, 4 1/2 in if obstructed."""
    ladder = Ladder(above_sill=inches(48), rung_width=inches(16), rung_pitch=inches(12), behind=inches("4.5"))
    found = outcomes(depth=feet(4), ladder=ladder)
    assert [
        found[k]
        for k in ("ladder above sill", "ladder rung width", "ladder rung pitch", "clear behind the ladder")
    ] == ["met", "met", "met", "not met"]
    obstructed = Ladder(
        above_sill=inches(47),
        rung_width=inches(8),
        rung_pitch=inches(13),
        behind=inches("4.5"),
        obstructed=True,
    )
    found = outcomes(depth=feet(4), ladder=obstructed)
    assert [
        found[k]
        for k in ("ladder above sill", "ladder rung width", "ladder rung pitch", "clear behind the ladder")
    ] == ["not met", "not met", "not met", "met"]


@pytest.mark.parametrize(("depth", "switches"), [(inches(14), 1), (inches(67), 1), (inches(68), 2)])
def test_stop_switches(depth, switches):
    """A17.1 2.2.6 and 2.26.2.7 (from memory): one in every pit, two above 67 in."""
    assert calculate(PitInputs(depth=depth)).stop_switches_needed.amount == switches


@pytest.mark.parametrize(
    ("edition", "outlet", "gfci", "outcome"),
    [
        ("2017", "single receptacle", False, "met"),
        ("2020", "single receptacle", False, "not met"),
        ("2020", "single receptacle", True, "met"),
        ("2020", "single receptacle", None, "unknown"),
        ("2020", "hard-wired", None, "met"),
        ("2020", "duplex receptacle", True, "not met"),
        ("2017", "duplex receptacle", False, "not met"),
        (None, "single receptacle", True, "unknown"),
    ],
)
def test_sump_outlet_rule_turned_round_in_2020(edition, outlet, gfci, outcome):
    """Trap: NEC 620.85 (to 2017) exempts a single receptacle from GFCI, 620.6 (since 2020) asks for it."""
    assert (
        outcomes(electrical_edition=edition, sump=sump(outlet=outlet, outlet_gfci=gfci))["sump pump outlet"]
        == outcome
    )


@pytest.mark.parametrize(
    ("edition", "clause"), [("2017", "620.85"), ("2020", "620.6"), ("2023", "620.6"), (None, "unknown")]
)
def test_receptacle_clause_by_edition(edition, clause):
    assert calculate(PitInputs(electrical_edition=edition)).receptacle_rule == clause


@pytest.mark.parametrize(
    ("lux", "outcome"), [(100, "met"), (99, "warning"), (50, "warning"), (49, "not met")]
)
def test_light_is_a_warning_where_two_sources_disagree(lux, outcome):
    """Trap: 100 lx by A17.1 2.2.5.1, 50 lx in a maker's note for another class (both kept)."""
    assert outcomes(light=Fraction(lux))["light at the pit floor"] == outcome


def test_pump_of_3000_gallons_an_hour_with_firefighters_operation():
    """A17.1 2.2.2.5: 3000 gal/h is 50 gal/min or 189 L/min per lift."""
    result = calculate(
        PitInputs(firefighters_operation=True, phase_one_only=False, sump=sump(pump_flow=Fraction(189)))
    )
    assert (result.pump_needed.amount, round(float(result.least_pump_flow.amount), 1)) == (True, 189.3)
    assert {f.key: f.outcome for f in result.findings}["pump flow"] == "not met"


@pytest.mark.parametrize(
    ("operation", "recall_only", "needed"),
    [(False, None, False), (True, True, None), (True, None, None), (None, None, None)],
)
def test_recall_only_is_left_to_the_authority(operation, recall_only, needed):
    """Nothing read settles whether recall only counts: a question, never a silent no."""
    assert (
        calculate(PitInputs(firefighters_operation=operation, phase_one_only=recall_only)).pump_needed.amount
        == needed
    )


def test_sump_volume_and_pump_down():
    """18 x 18 x 12 in are 3888 in3 = 63.713 L; at 50 - 10 gal/min they last 0.4208 min."""
    result = calculate(PitInputs(sump=sump(pump_flow=Fraction("189.27"), inflow=Fraction("37.854"))))
    assert float(result.sump_volume.amount) == pytest.approx(63.713, abs=1e-3)
    assert float(result.pump_down.amount) == pytest.approx(63.713 / 151.416, rel=1e-4)


def test_sprinkler_not_over_24_inches():
    assert outcomes(sprinkler=True, sprinkler_height=inches(24))["pit sprinkler height"] == "met"
    assert outcomes(sprinkler=True, sprinkler_height=inches(25))["pit sprinkler height"] == "not met"
    assert "pit sprinkler height" not in outcomes(sprinkler=False)


def test_european_pit():
    """EN 81-20 5.2.2.4 (read) and 5.2.1.4 (from memory)."""
    found = outcomes(code_set="EN", depth=1_400_000_000, light=Fraction(50), stop_switches=1, hydraulic=True)
    assert found == {
        "no EN value held": "unknown",
        "light at the pit floor": "met",
        "stop switches": "met",
        "ladder": "unknown",
        "fluid is retained": "unknown",
    }


def test_nothing_known_is_unknown():
    assert set(outcomes().values()) == {"unknown"}


@pytest.mark.parametrize(
    ("edition", "width", "outcome"),
    [
        ("2004", 9, "met"),
        ("2004", 8, "not met"),
        ("2019", 9, "not met"),
        ("2019", 12, "met"),
        (None, 9, "unknown"),
        (None, 12, "met"),
        (None, 8, "not met"),
    ],
)
def test_reduced_rung_width_changed_between_editions(edition, width, outcome):
    """Trap: A17.1 2.2.4.2 has 9 in (2004 edition) or 12 in (newer) where the ladder is obstructed."""
    ladder = Ladder(rung_width=inches(width), obstructed=True)
    assert outcomes(depth=feet(4), ladder=ladder, lift_edition=edition)["ladder rung width"] == outcome


@pytest.mark.parametrize(("edition", "asked"), [("2022", True), ("2019", False), (None, False)])
def test_ladder_that_stops_the_lift(edition, asked):
    """A17.1, 2022 edition, as reported in the trade press."""
    found = outcomes(depth=feet(4), ladder=Ladder(stops_lift=True), lift_edition=edition)
    assert ("ladder stops the lift" in found) is asked

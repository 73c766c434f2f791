"""The register: which function judges a rule that needs more than one recorded fact."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from seaflow.studies.survey import (
    along_runs,
    along_slopes,
    at_intakes,
    at_machines,
    at_manifolds,
    at_openings,
    at_the_bilge,
    at_the_hull,
    at_trim,
)
from seaflow.studies.survey.by_key import by_key
from seaflow.studies.survey.facts import Facts
from seaflow.studies.survey.rules import Rule, Verdict

Check = Callable[[Facts], Iterator[Verdict]]

CHECKS: dict[str, Check] = {
    function.__name__.replace("_", "-"): function
    for function in (
        at_the_hull.seacock_missing,
        at_the_hull.heeled_opening,
        at_the_hull.gate_valve,
        at_the_hull.in_line_valve,
        at_the_hull.metal_pair,
        at_the_hull.siphon_back,
        at_the_hull.outlet_height,
        at_intakes.scoop_aft,
        at_intakes.shared_area,
        at_intakes.shared_depth,
        at_intakes.shared_engine,
        at_intakes.intake_emerges,
        at_intakes.scoop_on_engine,
        at_intakes.scoop_missing,
        at_openings.intake_discharge,
        at_openings.intake_near_engine,
        at_openings.outlet_near_intake,
        at_trim.intake_trimmed,
        at_trim.outlet_trimmed,
        at_trim.pump_trimmed,
        at_the_bilge.unattended,
        at_the_bilge.bilge_pump_too_small,
        at_the_bilge.bilge_pump_not_automatic,
        along_runs.suction_crest,
        along_runs.suction_crest_heeled,
        along_runs.suction_check_valve,
        along_runs.suction_long,
        along_runs.suction_narrow,
        along_runs.delivery_dip,
        along_runs.starting_head,
        along_slopes.suction_flat,
        along_slopes.pump_lift,
        along_slopes.multihull_crossing,
        along_slopes.no_flushing,
        at_manifolds.manifold_trunk,
        at_manifolds.shared_outlet_trunk,
        at_manifolds.branch_no_valve,
        at_manifolds.many_units,
        along_runs.unit_below_water,
        along_runs.units_in_series,
        along_runs.pump_not_below_water,
        along_runs.hose_collapses,
        along_runs.clamps_too_few,
        at_machines.strainer_missing,
        at_machines.strainer_above_water,
        at_machines.strainer_area,
        at_machines.strainer_mesh,
        at_machines.strainer_ports,
        at_machines.strainer_rating,
        at_machines.strainer_blockage,
        at_machines.flow_below_need,
        at_machines.strainer_cleaning,
        at_machines.suction_vacuum,
        at_machines.pump_wire_too_thin,
        at_machines.pump_volts,
        at_machines.pump_ignition,
        at_machines.unit_ignition,
        at_machines.coil_velocity,
    )
}


def judged(rule: Rule, facts: Facts) -> tuple[Verdict, ...]:
    """Return what a rule says of every thing that it applies to."""
    if rule.key is not None:
        return tuple(by_key(rule, facts))
    return tuple(CHECKS[rule.id](facts))

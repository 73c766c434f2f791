"""Speed as ratios, measured in one run on one thread: python tests/speed/benchmark.py

(a) and (b) set this package, hydraulics and heat together, against the EPANET 2.2 engine, driven
through its toolkit, for the hydraulics alone. Each number is the median of alternating runs, in
processor time so that other work on the machine counts less.
Nothing here is asserted by the tests; the targets are printed beside the ratios.
"""

import compileall
import contextlib
import os
import statistics
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"  # before numpy comes in

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "helpers"))

import epanet  # noqa: E402
import numpy as np  # noqa: E402
from layouts import coil, hose, outlet, pump  # noqa: E402

from seaflow.model.conditions import Conditions  # noqa: E402
from seaflow.model.loop import SEA, Link, Loop  # noqa: E402
from seaflow.model.operate import operate  # noqa: E402
from seaflow.physics.pumping.pump import curve_from_ends  # noqa: E402

N_CONDITIONS = 10_000
ROUNDS = 7
ACCURACY = 1e-6  # of the engine; ours settles heads to 1e-9 m
SET_FLOWS_BACK = 10  # EN_INITFLOW
STARTS = 9
MEMORY_CONDITIONS = 100_000
MEMORY = """
import resource, sys
sys.path.insert(0, {helpers!r})
sys.path.insert(0, {here!r})
import benchmark
from seaflow.model.operate import operate
loop, conditions = benchmark.loop_of({units}), benchmark.conditions_of({few})
operate(loop, conditions)
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
point = operate(loop, benchmark.conditions_of({many}))
after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print((after - before) / 1024.0)
"""


def loop_of(n_units: int) -> Loop:
    """Return an invented loop: one unit, or several on a manifold with outlets of their own.

    EPANET runs it without the coils, since it knows no other loss than pipes and fittings.
    """
    curve = curve_from_ends(5.0, n_units * 6e-4, 1.8)
    trunk = (
        hose("suction", 2.0, 0.0254, fittings_coefficient=6.0),
        pump("pump", curve),
        hose("delivery", 3.0, 0.019, fittings_coefficient=4.0),
    )
    branches = []
    for number in range(n_units):
        parts = (
            hose(f"to unit {number}", 2.0 + number, 0.016, fittings_coefficient=6.0),
            coil(f"unit {number}", 4000.0 + 1000.0 * number, height=-0.1),
            hose(f"from unit {number}", 4.0, 0.016, fittings_coefficient=4.0),
            outlet(f"outlet {number}", 0.1 * number, 0.016),
        )
        branches.append(parts)
    if n_units == 1:
        return Loop("one unit", (Link(SEA, SEA, (*trunk, *branches[0])),))
    links = [Link("manifold", SEA, parts) for parts in branches]
    return Loop("manifold", (Link(SEA, "manifold", trunk), *links))


def losses_of(size: int) -> np.ndarray:
    """Return what varies: the loss coefficient of the suction, as a strainer that clogs."""
    return np.linspace(6.0, 200.0, size)


def conditions_of(size: int) -> Conditions:
    """Return the conditions, with a sea that warms along the axis."""
    return Conditions(sea_temperature=np.linspace(15.0, 32.0, size), salinity=36.0)


def ours(loop: Loop, size: int) -> float:
    """Return the seconds of processor time that this package takes."""
    varied = loop.changed("suction", fittings_coefficient=losses_of(size))
    start = time.process_time()
    operate(varied, conditions_of(size))
    return time.process_time() - start


def theirs(loop: Loop, size: int, whole_call: bool) -> float:
    """Return the seconds of processor time that the EPANET engine takes, the file already open.

    With `whole_call` each condition is one ENsolveH; without, the solver stays open and only the
    flows are set back, which is as lean as the engine goes. Either way every condition starts
    afresh, as ours do.
    """
    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        net, names = epanet.network(loop)
        net.options.hydraulic.accuracy = ACCURACY
        path = Path(folder) / "loop.inp"
        epanet.wntr.network.write_inpfile(net, str(path), units="LPM", version=2.2)
        engine = epanet.wntr.epanet.toolkit.ENepanet()
        engine.ENopen(str(path), str(path.with_suffix(".rpt")), str(path.with_suffix(".bin")))
        suction, last = (engine.ENgetlinkindex(name) for name in ("L0-0", names[-1]))
        code = epanet.wntr.epanet.util.EN
        found = np.empty(size)
        if not whole_call:
            engine.ENopenH()
        start = time.process_time()
        for index, loss in enumerate(losses_of(size)):
            engine.ENsetlinkvalue(suction, code.MINORLOSS, loss)
            if whole_call:
                engine.ENsolveH()
            else:
                engine.ENinitH(SET_FLOWS_BACK)
                engine.ENrunH()
            found[index] = engine.ENgetlinkvalue(last, code.FLOW)
        took = time.process_time() - start
        engine.ENclose()
    assert np.all(found > 0.0) and found[0] > found[-1]
    return took


def against_epanet(n_units: int, target: float) -> None:
    """Print how many times faster than the engine."""
    loop = loop_of(n_units)
    ours(loop, 100)
    rounds = [
        (
            ours(loop, N_CONDITIONS),
            theirs(loop, N_CONDITIONS, whole_call=True),
            theirs(loop, N_CONDITIONS, whole_call=False),
        )
        for _ in range(ROUNDS)
    ]
    mine, whole, lean = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(
        f"{n_units} unit(s), {N_CONDITIONS} conditions (suction loss and sea temperature vary), "
        f"one thread: {1e3 * mine:.0f} ms with heat\n"
        f"  EPANET hydraulics alone, ENsolveH each: {1e3 * whole:.0f} ms, "
        f"{whole / mine:.1f} times ours (target {target:g})\n"
        f"  EPANET kept open, ENinitH and ENrunH each: {1e3 * lean:.0f} ms, "
        f"{lean / mine:.1f} times ours"
    )


def seconds(command: list[str]) -> float | None:
    """Return the seconds a command takes, or None where it fails."""
    start = time.perf_counter()
    done = subprocess.run(command, cwd=ROOT, capture_output=True, check=False)
    return time.perf_counter() - start if done.returncode == 0 else None


def against_imports(label: str, command: list[str], imports: str, target: float) -> None:
    """Print how many times longer a command takes than bare imports."""
    base = [sys.executable, "-c", f"import {imports}"]
    pairs = [(seconds(command), seconds(base)) for _ in range(STARTS)]
    if any(mine is None or bare is None for mine, bare in pairs):
        print(f"{label}: skipped, the command does not run here")
        return
    mine, bare = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(
        f"{label}: {1e3 * mine:.0f} ms; import {imports}: {1e3 * bare:.0f} ms; "
        f"{mine / bare:.2f} times (target at most {target:g})"
    )


def memory(n_units: int) -> None:
    """Print the memory of a large run above that of a small one."""
    here = Path(__file__).parent
    script = MEMORY.format(
        helpers=str(here.parent / "helpers"),
        here=str(here),
        units=n_units,
        few=10,
        many=MEMORY_CONDITIONS,
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    print(
        f"memory of {MEMORY_CONDITIONS} conditions, {n_units} unit(s), above the imports: "
        f"{float(done.stdout):.0f} MB (target below 300)"
    )


def main() -> None:
    """Run and print everything."""
    against_epanet(1, 10.0)
    against_epanet(4, 5.0)
    program = [sys.executable, "-c", "from seaflow.cli.main import main; main()"]
    with contextlib.suppress(KeyboardInterrupt):
        # as an installed package is: without this a checkout compiles its sources at each start
        compileall.compile_dir(str(ROOT / "seaflow"), quiet=1)
        against_imports("seaflow --help", [*program, "--help"], "click", 3.0)
        size = [*program, "size", "cases/ketch-one-unit.toml"]
        libraries = "numpy, gsw, fluids, ht, pint, click"
        against_imports("seaflow size --samples 0", [*size, "--samples", "0"], libraries, 2.0)
        against_imports("seaflow size", size, libraries, 2.0)
    memory(1)
    memory(4)


if __name__ == "__main__":
    main()

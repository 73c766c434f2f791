"""Speed as ratios, measured in one run on one thread: python tests/speed/benchmark.py

The first rows set this package, hydraulics and heat together, against the EPANET 2.2 engine, driven
through its toolkit, for the hydraulics alone; then come starts of the command and questions through
`import seaflow`, over bare imports. Each number is the median of alternating runs, in processor
time so that other work on the machine counts less.
Nothing here is asserted by the tests; the targets are printed beside the ratios.
"""

import compileall
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"  # before numpy comes in

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "helpers"))

import epanet  # noqa: E402
import numpy as np  # noqa: E402
from layouts import coil, hose, outlet, pump  # noqa: E402

import seaflow  # noqa: E402
from seaflow.model.conditions import Conditions  # noqa: E402
from seaflow.model.loop import SEA, Link, Loop  # noqa: E402
from seaflow.model.operate import operate  # noqa: E402
from seaflow.physics.pumping.pump import curve_from_ends  # noqa: E402

N_CONDITIONS = 10_000
ROUNDS = 7
ACCURACY = 1e-6  # of the engine; ours settles heads to 1e-9 m
SET_FLOWS_BACK = 10  # EN_INITFLOW
STARTS = 9
USED = "numpy, gsw, fluids, ht, click"  # what `size` loads; pint loads for quantities of scripts
FLEET = 6  # times every shipped boat
MEMORY_CONDITIONS = 100_000
MEMORY = """
import sys
from pathlib import Path


def peak():
    # of this program alone: what rusage tells of it begins with what started it
    rows = Path("/proc/self/status").read_text().splitlines()
    return next(int(row.split()[1]) for row in rows if row.startswith("VmHWM"))


sys.path.insert(0, {helpers!r})
sys.path.insert(0, {here!r})
import benchmark
from seaflow.model.operate import operate
loop, conditions = benchmark.loop_of({units}), benchmark.conditions_of({few})
operate(loop, conditions)
before = peak()
point = operate(loop, benchmark.conditions_of({many}))
print((peak() - before) / 1024.0)
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
        f"{whole / mine:.1f} times ours\n"
        f"  EPANET kept open, ENinitH and ENrunH each: {1e3 * lean:.0f} ms, "
        f"{lean / mine:.1f} times ours (target {target:g})"
    )


def seconds(command: list[str]) -> float:
    """Return the seconds of processor time that a command takes, its start included."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, cwd=ROOT, capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode in (0, 1, 3), done.stderr.decode()
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def asked(ask: Callable[..., object], file: str, **more: object) -> float:
    """Return the seconds of processor time that a question of a boat takes in this process.

    The boat is read anew each time, or the answer would find what the last one left.
    """
    boat = seaflow.load(ROOT / file)
    start = time.process_time()
    ask(boat, **more)
    return time.process_time() - start


def against_imports() -> None:
    """Print cold starts and warm questions over the bare imports of libraries, in one run."""
    program = [sys.executable, "-c", "from seaflow.cli.main import main; main()"]
    ketch, motor = (f"cases/{name}.toml" for name in ("ketch-one-unit", "motor-three-units"))
    warm = {"sea": "27 degC", "discharge": "43 degC"}
    rows: dict[str, tuple[Callable[[], float], float]] = {
        "bare imports": (lambda: seconds([sys.executable, "-c", f"import {USED}"]), 1.0),
        "with pint": (lambda: seconds([sys.executable, "-c", f"import {USED}, pint"]), 1.0),
        "seaflow --help": (lambda: seconds([*program, "--help"]), 1.0),
        "seaflow size, ketch": (lambda: seconds([*program, "size", ketch]), 2.0),
        "seaflow size, motor yacht": (lambda: seconds([*program, "size", motor]), 2.0),
        "size, ketch": (lambda: asked(seaflow.size, ketch), 0.4),
        "size, motor yacht": (lambda: asked(seaflow.size, motor), 0.8),
        "diagnose, ketch": (lambda: asked(seaflow.diagnose, ketch, **warm), 1.0),
        "place, ketch": (lambda: asked(seaflow.place, ketch), 0.8),
        "improve, ketch": (lambda: asked(seaflow.improve, ketch), 2.0),
    }
    for take, _ in rows.values():
        take()
    times = {name: [] for name in rows}
    for _ in range(STARTS):
        for name, (take, _) in rows.items():
            times[name].append(take())
    took = {name: statistics.median(each) for name, each in times.items()}
    bare, whole = took["bare imports"], took["with pint"]
    print(f"over the bare imports of {USED}: {1e3 * bare:.0f} ms; with pint {1e3 * whole:.0f} ms")
    for name, (_, target) in rows.items():
        print(
            f"  {name:26}{1e3 * took[name]:6.0f} ms  {took[name] / bare:5.2f} times "
            f"(target {target:g}); {took[name] / whole:.2f} times with pint"
        )


def fleet() -> None:
    """Print what several processes save on a fleet; by the clock, so on a quiet machine."""
    files = [str(file) for file in sorted((ROOT / "cases").glob("*.toml"))] * FLEET
    program = [sys.executable, "-m", "seaflow", "size", *files, "--jobs"]
    found = {}
    for jobs in (1, 2):
        start = time.perf_counter()
        subprocess.run([*program, str(jobs)], cwd=ROOT, capture_output=True, check=False)
        found[jobs] = time.perf_counter() - start
    print(f"{len(files)} boats in two processes: {found[1] / found[2]:.2f} times as fast as in one")


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
    against_epanet(4, 8.0)
    # as an installed package is: without this a checkout compiles its sources at each start
    compileall.compile_dir(str(ROOT / "seaflow"), quiet=1)
    against_imports()
    fleet()
    memory(1)
    memory(4)


if __name__ == "__main__":
    main()

"""How the cost of `size` grows with samples, units and cases: python tests/speed/fleet.py

Processor time of one thread in one run, as ratios to a case without samples; the number of cases an
hour is that of this machine and this run.
"""

import os
import statistics
import time
from pathlib import Path

for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"  # before numpy comes in

from seaflow.boat.load import load_case  # noqa: E402
from seaflow.studies.size.size import size  # noqa: E402

CASES = Path(__file__).parents[2] / "cases"
ROUNDS = 5


def seconds(file: str, samples: int) -> float:
    """Return the median time of reading and sizing one case."""
    times = []
    for _ in range(ROUNDS):
        start = time.process_time()
        size(load_case(file).case, samples, 20)
        times.append(time.process_time() - start)
    return statistics.median(times)


def main() -> None:
    """Print the growth with samples and units, and what an hour holds."""
    ketch, motor = (str(CASES / name) for name in ("ketch-one-unit.toml", "motor-three-units.toml"))
    size(load_case(ketch).case, 16, 20)
    bare = seconds(ketch, 0)
    for file, units in ((ketch, 1), (motor, 3)):
        for samples in (0, 512, 2048, 10_000):
            took = seconds(file, samples)
            print(
                f"{units} unit(s), {samples:6d} samples, all pumps that fit: {took * 1e3:6.0f} ms, "
                f"{took / bare:5.1f} times the bare case, {3600 / took:8.0f} cases an hour"
            )
    files = [str(file) for file in sorted(CASES.glob("*.toml"))]
    for copies in (1, 4):
        start = time.process_time()
        for file in files * copies:
            size(load_case(file).case, 512, 20)
        took = time.process_time() - start
        count = len(files) * copies
        print(f"{count} cases of 512 samples: {took / count * 1e3:.0f} ms each")


if __name__ == "__main__":
    main()

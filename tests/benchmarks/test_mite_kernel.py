"""Speed of the compiled law as a ratio to the same law in plain C, built with -O3 -march=native, in one run."""

import ctypes
import shutil
import subprocess
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest

from kit.calc import _kernel, _pack
from kit.calc.mites import Lanes, Treatment, simulate_many

pytestmark = pytest.mark.slow
LANES = 4096
BLOCK = 256


class CLanes(ctypes.Structure):
    _fields_ = [(name, ctypes.c_void_p) for name in _kernel.Lanes._fields] + [
        (name, ctypes.c_int64) for name in ("rows", "span", "knots", "treatments", "reported", "columns")
    ]


@pytest.fixture(scope="module")
def compiled(tmp_path_factory):
    compiler = shutil.which("gcc") or shutil.which("cc")
    if compiler is None:
        pytest.skip("no C compiler on this machine")
    library = tmp_path_factory.mktemp("c") / "law.so"
    source = Path(__file__).with_name("mite_law.c")
    flags = ["-O3", "-march=native", "-std=c11", "-Wall", "-Werror", "-shared", "-fPIC"]
    subprocess.run([compiler, *flags, str(source), "-o", str(library), "-lm"], check=True)
    return ctypes.CDLL(str(library))


def season(lanes: int = LANES) -> Lanes:
    rounds = [Treatment("amitraz strips", date(2025, 8, 5))]
    rounds += [Treatment("oxalic sublimation", date(2025, 10, day)) for day in (1, 6, 11)]
    return Lanes(
        start=date(2025, 4, 1), days=365, mites=np.linspace(5, 300, lanes), growth=np.ones((lanes, 5)),
        winter_bees=(date(2025, 9, 1), date(2025, 10, 20)),
    ).treated(rounds)  # fmt: skip


def c_run(library, packed, at, threads):
    n = len(packed.mites)
    out, spoiled = np.empty((n, len(at), _kernel.BRIEF)), np.empty(n)
    pointers = [array.ctypes.data for array in packed]
    sizes = (*packed.curves.shape[:2], packed.factors.shape[1], packed.when.shape[1], len(at), _kernel.BRIEF)
    lanes = CLanes(*pointers, *sizes)

    def block(first):
        library.run(
            ctypes.byref(lanes), ctypes.c_void_p(out.ctypes.data), ctypes.c_void_p(spoiled.ctypes.data),
            ctypes.c_int64(first), ctypes.c_int64(min(first + BLOCK, n)),
        )  # fmt: skip

    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(block, range(0, n, BLOCK)))
    return out, spoiled


def kernel_run(packed, at, threads):
    n = len(packed.mites)
    out, spoiled = np.empty((n, len(at), _kernel.BRIEF)), np.empty(n)
    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(lambda a: _kernel.run(packed, out, spoiled, a, min(a + BLOCK, n)), range(0, n, BLOCK)))
    return out, spoiled


def seconds(task):
    start = perf_counter()
    task()
    return perf_counter() - start


@pytest.mark.parametrize("threads", [1, 2])
def test_the_kernel_runs_at_least_half_as_fast_as_plain_c(compiled, threads):
    at = np.arange(6, 365, 7)
    packed = _pack.packed(season(), at)
    theirs, ours = c_run(compiled, packed, at, threads), kernel_run(packed, at, threads)
    np.testing.assert_allclose(ours[0], theirs[0], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(ours[1], theirs[1], rtol=1e-9)
    pairs = [
        (seconds(lambda: c_run(compiled, packed, at, threads)), seconds(lambda: kernel_run(packed, at, threads)))
        for _ in range(5)
    ]
    c_best, kernel_best = (min(column) for column in zip(*pairs, strict=True))
    ratio = c_best / kernel_best
    print(f"\nthreads {threads}: {LANES / kernel_best:,.0f} colony-years/s, {ratio:.2f} of plain C")
    assert ratio >= 0.5


def test_memory_grows_with_the_days_asked_for_and_not_with_the_days_run():
    lanes = season(20_000)
    tracemalloc.start()
    simulate_many(lanes, at=[364])
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    every_day = 20_000 * 365 * _kernel.BRIEF * 8
    print(f"\npeak {peak / 1e6:.0f} MB for one day of 20,000 years; all days would take {every_day / 1e6:.0f} MB")
    assert peak < every_day / 5

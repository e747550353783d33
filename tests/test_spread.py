"""Chunks on executors: order, broken pools, what ends early."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from spread_work import dies, dies_once, squared

from engine_model.studies.spread import SpreadError, chunks_of, cluster, process_pool, spread


def go_on():
    pass


def test_chunks_cover_all_once_whatever_they_take():
    for count, seconds in ((1, 0.01), (7, 0.1), (50, 0.07), (50, 3.0)):
        chunks = chunks_of(count, seconds, 0.3)
        assert [k for one in chunks for k in one] == list(range(count))
        # every chunk but the last takes the least time or more
        assert all(len(one) * seconds >= 0.3 - 1e-9 for one in chunks[:-1])


def test_any_executor_of_the_standard_library_serves():
    with ThreadPoolExecutor(3) as pool:
        found = list(spread(squared, [(k,) for k in range(9)], pool, go_on))
    assert sorted(found) == [k * k for k in range(9)]


def test_what_a_step_raises_ends_the_work():
    def stop():
        raise KeyError("enough")

    with ThreadPoolExecutor(1) as pool, pytest.raises(KeyError, match="enough"):
        list(spread(squared, [(1,)], pool, stop))


@pytest.mark.long
def test_a_killed_worker_is_replaced_and_the_rest_alone_done_again(tmp_path):
    tasks = [(str(tmp_path), k) for k in range(12)]
    found = []
    for one in spread(dies_once, tasks, process_pool(2), go_on):
        found.append(one)
    assert sorted(found) == [k * k for k in range(12)]
    done = [file.name.partition("-")[0] for file in tmp_path.glob("*-*")]
    assert (tmp_path / "died").exists()
    # what was finished before the kill was not done again: at most what the pool had in hand was
    assert len(done) <= 12 + 3


@pytest.mark.long
def test_workers_that_never_live_are_given_up_in_a_sentence():
    with pytest.raises(SpreadError, match=r"broke 4 times, 2 of 2 chunks are unfinished"):
        list(spread(dies, [(1,), (2,)], process_pool(1), go_on))


def test_a_scheduler_that_does_not_answer_is_a_sentence():
    pytest.importorskip("distributed")
    with (
        pytest.raises(SpreadError, match="nobody answers at 'nonsense://here'"),
        cluster("nonsense://here"),
    ):
        pass


@pytest.mark.long
def test_a_cluster_whose_workers_never_live_is_given_up_in_a_sentence():
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as workers:
        with (
            pytest.raises(SpreadError, match="died again and again"),
            cluster(workers.scheduler_address) as executor,
        ):
            list(spread(dies, [(1,)], executor, go_on))
        # closed while it starts the next worker, a cluster fails in a race of its own
        workers.wait_for_workers(1, timeout=60)
        end = time.monotonic() + 60.0
        while not all(nanny.pid for nanny in workers.workers.values()):
            assert time.monotonic() < end
            time.sleep(0.05)

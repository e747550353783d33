"""The compressor study in one process, in two, on a cluster, and with a worker killed midway.

Always the same bytes.
"""

from __future__ import annotations

import json
import os
import signal

import pytest
from compressor_cases import sample_build, trims

from app.present.compressor_document import ranking_document
from engine_model.studies.compressor_records import CompressorAim
from engine_model.studies.compressor_study import compressor_rows, compressor_study
from engine_model.studies.spread import process_pool

DAYS = ("mild", "freezing")


def asked():
    build = sample_build("road-six")
    # as many as make several chunks, two of them equal
    maps = (*trims(), *trims(), *trims(), *trims())
    return build, maps, [build.known_days()[name] for name in DAYS], CompressorAim()


def bytes_of(ranking):
    return json.dumps(ranking_document(ranking), allow_nan=False).encode()


@pytest.fixture(scope="module")
def serial():
    return bytes_of(compressor_study(*asked()))


class Killing:
    """Progress that kills a worker once, when the first row has come."""

    def __init__(self, pids):
        self.pids, self.killed, self.told = pids, None, []

    def __call__(self, done, every):
        self.told.append((done, every))
        if self.killed is None:
            self.killed = self.pids()[0]
            os.kill(self.killed, signal.SIGKILL)


@pytest.mark.long
def test_two_workers_give_the_same_bytes(serial):
    assert bytes_of(compressor_study(*asked(), executor=process_pool(2))) == serial


@pytest.mark.long
def test_a_worker_of_a_pool_is_killed_midway(serial):
    pools, make = [], process_pool(2)

    def made():
        pools.append(make())
        return pools[-1]

    kill = Killing(lambda: list(pools[0]._processes))
    ranking = compressor_study(*asked(), executor=made, progress=kill)
    assert kill.killed is not None
    assert len(pools) == 2
    assert kill.told[-1] == (12, 12)
    assert bytes_of(ranking) == serial


@pytest.fixture(scope="module")
def client():
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
        ) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        yield client


@pytest.mark.long
def test_a_cluster_of_two_gives_the_same_bytes(serial, client):
    ranking = compressor_study(*asked(), executor=client.get_executor())
    assert bytes_of(ranking) == serial


@pytest.mark.long
def test_a_worker_of_a_cluster_is_killed_midway(serial, client):
    kill = Killing(lambda: list(client.run(os.getpid).values()))
    ranking = compressor_study(*asked(), executor=client.get_executor(), progress=kill)
    assert kill.killed is not None
    assert bytes_of(ranking) == serial


@pytest.mark.long
def test_the_command_on_a_scheduler_and_on_workers(serial, client, capsys):
    from app.__main__ import main

    words = ["compressors", "road-six", "frame-95-small", "frame-95-middle", "--json"]
    outs = []
    for more in ([], ["--workers", "2"], ["--scheduler", client.scheduler.address]):
        assert main([*words, *more]) == 0
        outs.append(capsys.readouterr().out)
    assert outs[0] == outs[1] == outs[2]


def test_rows_come_one_by_one_and_a_cancelled_study_keeps_them():
    build, maps, days, question = asked()
    rows = compressor_rows(build, maps[:2], days[:1], question)
    assert next(rows).place == 0
    rows.close()
    told = []
    ranking = compressor_study(
        build, maps[:3], days[:1], question,
        progress=lambda done, every: told.append((done, every)), cancelled=lambda: len(told) > 0,
    )  # fmt: skip
    assert told == [(1, 3)]
    assert [row.place for row in ranking.rows] == [0]

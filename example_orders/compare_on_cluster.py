"""`pressday compare` with its plans made on a Dask cluster, in place of this machine's own processes.

Run it with the words of the command, from the folder of the clone:

    python -m example_orders.compare_on_cluster example_orders/orders.xlsx --day 2027-03-09 \
        --changes example_orders/changes.csv

A cluster is started on this machine. To use one that is there already, set DASK_SCHEDULER to the address of
its scheduler, such as tcp://192.168.1.20:8786; the same version of Pressday must be installed on its workers.
Needs the extra `cluster`.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from dask.distributed import Client, LocalCluster
from joblib import parallel_config

from scheduler.cli.main import app

PLANS_A_WORKER = 2
"""Threads of a worker: a search uses two itself."""


def main(words: Sequence[str], *, address: str | None = None, workers: int | None = None) -> None:
    """Run `pressday compare` with these words on a cluster.

    Parameters
    ----------
    address
        Of a Dask scheduler; None: a cluster is started here.
    workers
        Processes of a cluster that is started here; None: as many as Dask thinks right.
    """
    if address:
        with Client(address):
            _compare(words)
        return
    with (
        LocalCluster(n_workers=workers, threads_per_worker=PLANS_A_WORKER, dashboard_address=None) as cluster,
        Client(cluster),
    ):
        _compare(words)


def _compare(words: Sequence[str]) -> None:
    # All that is needed: joblib hands the plans to Dask, and the answer is the same.
    with parallel_config(backend="dask"):
        app(["compare", *words], standalone_mode=False)


if __name__ == "__main__":
    main(sys.argv[1:], address=os.environ.get("DASK_SCHEDULER"))

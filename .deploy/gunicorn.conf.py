"""Shelfcheck under gunicorn: ``gunicorn --config .deploy/gunicorn.conf.py``.

Several processes answer at one port, so that typed entry and tours use more than one core. Each process has
readers of its own, and counts by itself how often one address may do something. Settings come from the
environment (``SHELFCHECK_PORT``, ...), as for ``shelfcheck serve``.
"""

import os
import shutil
import tempfile
from typing import Any

from shelfcheck.settings import load_settings

workers = 2
os.environ.setdefault("SHELFCHECK_READS", str(max(1, (os.cpu_count() or 1) // workers)))
# A new folder at each start, in which the processes count together for /metrics.
os.environ.setdefault("PROMETHEUS_MULTIPROC_DIR", tempfile.mkdtemp(prefix="shelfcheck-metrics"))

_settings = load_settings()
wsgi_app = "shelfcheck.service:create_app()"
bind = f"{_settings['host']}:{_settings['port']}"
worker_class = "gthread"
# Each photo holds a thread from its first byte on; the others are for all else.
threads = int(_settings["threads"]) + int(_settings["reads"]) + int(_settings["reads_waiting"])
forwarded_allow_ips = ""  # the service decides whom to believe, by SHELFCHECK_TRUSTED_PROXIES
loglevel = "error"  # its warnings name addresses and paths
control_socket_disable = True


def post_worker_init(worker: Any) -> None:
    """Have the page and the readers ready before the first phone asks."""
    from shelfcheck.service import pages
    from shelfcheck.service.parts import READERS

    pages.prepare(worker.wsgi)
    worker.wsgi.extensions[READERS].ready()


def child_exit(_server: Any, worker: Any) -> None:
    """Take back what a process told of its readers once it is gone."""
    from prometheus_client.multiprocess import mark_process_dead

    mark_process_dead(worker.pid)


def on_exit(_server: Any) -> None:
    """Delete the folder of the counts."""
    shutil.rmtree(os.environ["PROMETHEUS_MULTIPROC_DIR"], ignore_errors=True)

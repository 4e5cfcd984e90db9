"""``GET /metrics``: how many requests and reads, how long they took, in the text form of Prometheus.

Where ``PROMETHEUS_MULTIPROC_DIR`` names a folder, several processes count together in it; each tells how
busy its readers are when it is asked and after each photo.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping

from flask import Flask, Response, abort, current_app, request
from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    PlatformCollector,
    ProcessCollector,
)
from prometheus_client.exposition import choose_encoder
from prometheus_client.multiprocess import MultiProcessCollector

from shelfcheck.service.networks import Networks, is_in, read_networks
from shelfcheck.service.parts import readers_of
from shelfcheck.service.proxy import forwarded_unbelieved

EXTENSION = "shelfcheck_metrics"
"""The name by which an application holds its ``Metrics``."""
READ_STAGES = ("wait", "decode", "recognise", "understand")
_REQUEST_BOUNDS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
_READ_BOUNDS = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
"""Upper bounds in seconds: a typed label takes a millisecond, a photo from half a second to the limit."""
_GAUGES = {
    "readers": "Readers of photos",
    "busy": "Readers at work",
    "waiting": "Photos that wait for a reader",
    "restarts": "Readers started anew since the service started",
}


class Metrics:
    """What one application counts, in a registry of its own."""

    def __init__(self) -> None:
        self._together = "PROMETHEUS_MULTIPROC_DIR" in os.environ
        self._registry = CollectorRegistry()
        self._requests = Counter(
            "shelfcheck_requests",
            "Requests answered",
            ("route", "method", "status"),
            registry=self._registry,
        )
        self._request_seconds = Histogram(
            "shelfcheck_request_seconds",
            "Seconds from a request to its answer",
            ("route",),
            buckets=_REQUEST_BOUNDS,
            registry=self._registry,
        )
        self._reads = Counter("shelfcheck_reads", "Photos read", ("outcome",), registry=self._registry)
        self._read_seconds = Histogram(
            "shelfcheck_read_seconds",
            "Seconds of reading a photo",
            ("stage",),
            buckets=_READ_BOUNDS,
            registry=self._registry,
        )
        self._fields = Counter("shelfcheck_fields_read", "Fields read", ("state",), registry=self._registry)
        self._gauges = {
            key: Gauge(
                "shelfcheck_readers" if key == "readers" else f"shelfcheck_readers_{key}",
                told,
                registry=self._registry,
                multiprocess_mode="livesum",
            )
            for key, told in _GAUGES.items()
        }
        self._counted: dict[tuple[str, str, int], tuple[Counter, Histogram]] = {}
        if not self._together:
            ProcessCollector(registry=self._registry)
            PlatformCollector(registry=self._registry)

    def count_request(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count a request, by its route's template, its method and the hundred of its status."""
        key = (route, method, status // 100)
        found = self._counted.get(key)
        if found is None:
            counter = self._requests.labels(route, method, f"{key[2]}xx")
            found = self._counted[key] = (counter, self._request_seconds.labels(route))
        found[0].inc()
        found[1].observe(seconds)

    def count_read(self, outcome: str, seconds: Mapping[str, float], states: Iterable[str]) -> None:
        """Count a photo that was read, or could not be; see the function ``count_read``."""
        self._reads.labels(outcome).inc()
        for stage, taken in seconds.items():
            self._read_seconds.labels(stage).observe(taken)
        for state in states:
            self._fields.labels(state).inc()

    def look(self, readers: Mapping[str, int]) -> None:
        """Keep how busy the readers are now."""
        for key, gauge in self._gauges.items():
            gauge.set(readers.get(key, 0))

    def text(self, accept: str) -> tuple[bytes, str]:
        """Return all of it in the form that ``accept`` asks for, and the name of that form."""
        registry = self._registry
        if self._together:
            registry = CollectorRegistry()
            MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
        encode, kind = choose_encoder(accept)
        return encode(registry), kind


def count_read(outcome: str, seconds: Mapping[str, float], states: Iterable[str]) -> None:
    """Count a photo in the application that answers this request.

    Args:
        outcome: "read", or the code of the error that it ended with.
        seconds: how long each of ``READ_STAGES`` took, as far as it came.
        states: the state of each field on the panel: "sure", "check" or "missing".
    """
    found = _metrics()
    found.count_read(outcome, seconds, states)
    _look(found)


def register(app: Flask, metrics_from: str) -> Metrics:
    """Have ``app`` count, and tell it at ``/metrics`` to the networks that ``metrics_from`` lists.

    Raises:
        ValueError: when something in ``metrics_from`` is no address and no network.
    """
    networks = read_networks("metrics_from", metrics_from)
    metrics = app.extensions[EXTENSION] = Metrics()

    @app.get("/metrics")
    def tell_metrics() -> Response:
        """Answer what was counted; to strangers this page is none."""
        if not _may_ask(networks):
            abort(404)
        _look(metrics)
        body, kind = metrics.text(request.headers.get("Accept", ""))
        return Response(body, content_type=kind)

    return metrics


def _may_ask(networks: Networks) -> bool:
    """Tell whether who asks is of the networks; a proxy that is not trusted may speak for anybody."""
    return not forwarded_unbelieved(request.environ) and is_in(networks, request.remote_addr or "")


def _look(metrics: Metrics) -> None:
    readers = readers_of(current_app)
    if readers is not None:
        metrics.look(readers.state())


def _metrics() -> Metrics:
    found: Metrics = current_app.extensions[EXTENSION]
    return found

"""Our networks, ready to run: ``models/find.onnx`` and ``models/strips.onnx``."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import Any

MODELS = Path(__file__).parent / "models"
NAMES = ("find", "strips")
THREADS = 2
_FATAL = 4
SILENCE = "ORT_DISABLE_TELEMETRY"
"""Where this is set before it is loaded, the library makes no identifier of the machine and reports to
nobody (its Privacy.md). Otherwise it would do both."""


@cache
def network(name: str) -> Any:
    """Return a network by its name, loaded once, which runs on a few threads."""
    os.environ[SILENCE] = "1"
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = THREADS
    options.inter_op_num_threads = 1
    options.log_severity_level = _FATAL  # what else goes wrong is raised
    options.enable_cpu_mem_arena = False  # a store of memory that grows and saves no time
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    model = str(MODELS / f"{name}.onnx")
    return onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])

"""Our networks, ready to run: ``models/find.onnx`` and ``models/strips.onnx``."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

MODELS = Path(__file__).parent / "models"
THREADS = 2


@cache
def network(name: str) -> Any:
    """Return a network by its name, loaded once, which runs on a few threads."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = THREADS
    options.inter_op_num_threads = 1
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    model = str(MODELS / f"{name}.onnx")
    return onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])

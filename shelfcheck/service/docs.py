"""A page that shows and tries the API, from the OpenAPI document; its files come with a package."""

from __future__ import annotations

from flask import Flask, Response, send_from_directory
from flask_swagger_ui import get_swaggerui_blueprint

_HERE = "static"


def register(app: Flask, prefix: str) -> None:
    """Serve the page at ``<prefix>/docs/``; its script is a file, since no inline script may run."""
    base = f"{prefix}/docs"
    app.register_blueprint(get_swaggerui_blueprint(base, f"{prefix}/openapi.json"))

    @app.get(f"{base}/start.js")
    def start() -> Response:
        return send_from_directory(f"{app.root_path}/{_HERE}", "docs.js")

"""A real nginx for tests and benches, from the shipped file: only ports, folders and certificate differ."""

from __future__ import annotations

import os
import shutil
import socket
import ssl
import subprocess
import tempfile
import time
from collections.abc import Sequence
from http.client import HTTPSConnection
from pathlib import Path
from typing import Self

from shelfcheck.bootstrap import DEBIAN_SBIN
from tests.making import ROOT
from tests.test_serve import free_port

SHIPPED = ROOT / ".deploy" / "nginx.conf"
NAME = "shelfcheck.example"
_HERE = "127.0.0.1"
_TEMPORARY = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
_MAIN = """\
daemon off;
worker_processes 2;
pid {folder}/nginx.pid;
{user}
events {{ worker_connections 1024; }}
http {{
    include {types};
    default_type application/octet-stream;
    access_log {folder}/access.log;
    gzip on;
    {temporary}
    include {folder}/site.conf;
}}
"""
"""What Debian's own nginx.conf says, as far as it bears on a site."""


class Nginx:
    """nginx before the services at these ports, in a folder of its own, until ``stop``.

    ``port`` speaks https, ``plain_port`` http.
    """

    def __init__(self, *services: int) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="nginx", dir="/tmp"))
        self.port, self.plain_port = free_port(), free_port()
        self.certificate = self.folder / "fullchain.pem"
        self._certify()
        self._write(services)
        self._process = subprocess.Popen(self._command())
        self._wait()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    @property
    def process(self) -> int:
        """The number of its first process."""
        return self._process.pid

    def stop(self) -> None:
        """End it and all that it started; delete its folder."""
        self._process.terminate()
        self._process.wait(10)
        shutil.rmtree(self.folder)

    def look(self) -> str:
        """Return what nginx says of its files when it is only to look at them."""
        run = subprocess.run(self._command("-t", "-q"), capture_output=True, text=True, check=False)
        return run.stdout + run.stderr

    def connection(self, source: str = _HERE) -> HTTPSConnection:
        """Return a connection that trusts the certificate, from an address of this machine."""
        trusting = ssl.create_default_context(cafile=self.certificate)
        return HTTPSConnection(_HERE, self.port, timeout=30, context=trusting, source_address=(source, 0))

    def files(self) -> bytes:
        """Return all that lies in its folder."""
        return b"".join(path.read_bytes() for path in sorted(self.folder.rglob("*")) if path.is_file())

    def _certify(self) -> None:
        key = self.folder / "privkey.pem"
        command = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1"]
        command += ["-nodes", "-days", "2", "-subj", f"/CN={NAME}", "-keyout", str(key)]
        command += ["-addext", f"subjectAltName=DNS:{NAME},IP:{_HERE}", "-out", str(self.certificate)]
        subprocess.run(command, check=True, capture_output=True)

    def _write(self, services: Sequence[int]) -> None:
        (self.folder / "site.conf").write_text(self._site(services))
        temporary = "".join(f"{kind}_temp_path {self.folder}/{kind};\n    " for kind in _TEMPORARY)
        user = "user root;" if os.geteuid() == 0 else ""  # as anybody else it could not enter our folders
        types = "/etc/nginx/mime.types"
        main = _MAIN.format(folder=self.folder, temporary=temporary, user=user, types=types)
        (self.folder / "nginx.conf").write_text(main)

    def _site(self, services: Sequence[int]) -> str:
        text = SHIPPED.read_text(encoding="utf-8")
        one = next(line for line in text.splitlines() if line.strip().startswith("server 127.0.0.1:8000"))
        lines = "\n".join(one.replace("8000", str(port)) for port in services)
        others = {
            one: lines,
            "listen 80;": f"listen {_HERE}:{self.plain_port};",
            "listen [::]:80;": f"listen [::1]:{self.plain_port};" if _has_ipv6() else "",
            "listen 443 ssl;": f"listen {_HERE}:{self.port} ssl;",
            "listen [::]:443 ssl;": f"listen [::1]:{self.port} ssl;" if _has_ipv6() else "",
            f"/etc/letsencrypt/live/{NAME}": str(self.folder),
            "/var/www/html": str(self.folder / "html"),
            "/var/log/nginx": str(self.folder),
        }
        for shipped, other in others.items():
            if shipped not in text:
                raise ValueError(f"{SHIPPED} no longer says: {shipped}")
            text = text.replace(shipped, other)
        return text

    def _command(self, *options: str) -> list[str]:
        program = shutil.which("nginx") or str(DEBIAN_SBIN / "nginx")
        log = str(self.folder / "main.log")
        return [program, "-c", str(self.folder / "nginx.conf"), "-p", str(self.folder), "-e", log, *options]

    def _wait(self) -> None:
        until = time.monotonic() + 10
        while self._process.poll() is None and time.monotonic() < until:
            try:
                socket.create_connection((_HERE, self.port), 1).close()
            except OSError:
                time.sleep(0.02)
            else:
                return
        raise RuntimeError(f"nginx did not start: {self.files().decode(errors='replace')[-2000:]}")


def _has_ipv6() -> bool:
    try:
        with socket.socket(socket.AF_INET6) as probe:
            probe.bind(("::1", 0))
    except OSError:
        return False
    return True

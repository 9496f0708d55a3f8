"""A static host on loopback, as any https host would be: it knows files and headers, no Python; it can be switched off."""
from __future__ import annotations

import http.server
import threading
from pathlib import Path

from spareway.web.policy import HEADERS

TYPES = {".mjs": "text/javascript", ".js": "text/javascript", ".wasm": "application/wasm", ".zip": "application/zip",
         ".html": "text/html; charset=utf-8", ".json": "application/json", ".css": "text/css; charset=utf-8",
         ".txt": "text/plain; charset=utf-8", ".webmanifest": "application/manifest+json"}
FOLDER = "/tools/phone/"                                    # not the root: a site may lie in any folder of a host


class Host:
    """Serves a folder at FOLDER of one port, which it keeps between `stop` and `start`. `sent`: (path, bytes) of each answer."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, 0
        self.sent: list[tuple[str, int]] = []
        self._server: http.server.ThreadingHTTPServer | None = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}{FOLDER}"

    def start(self) -> None:
        if self._server is not None:
            return
        server = http.server.ThreadingHTTPServer(("127.0.0.1", self.port), self._answering())
        server.daemon_threads = True
        self.port, self._server = server.server_port, server
        threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True).start()

    def stop(self) -> None:
        """Nobody listens any more: HTTP/1.0 keeps no connection open."""
        if self._server is not None:
            self._server.shutdown()
            self._server.server_close()
            self._server = None

    def _answering(self) -> type[http.server.BaseHTTPRequestHandler]:
        host = self

        class Answering(http.server.BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                name = self.path.split("?")[0].removeprefix(FOLDER) or "index.html"
                file = host.folder / name
                if not self.path.startswith(FOLDER) or not file.resolve().is_relative_to(host.folder.resolve()) or not file.is_file():
                    self.send_error(404)
                    return
                packed = file.with_name(f"{file.name}.gz")
                gzipped = packed.is_file() and "gzip" in self.headers.get("accept-encoding", "")
                body = (packed if gzipped else file).read_bytes()
                host.sent.append((name, len(body)))
                self.send_response(200)
                for header, value in {"content-type": TYPES[file.suffix], "content-length": str(len(body)),
                                      "cache-control": "no-cache", **HEADERS}.items():
                    self.send_header(header, value)
                if gzipped:
                    self.send_header("content-encoding", "gzip")
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, format: str, *args: object) -> None:
                return

        return Answering

"""The least that a page kept on a phone can be, to hold the app beside: one field, one script, one service worker.

What such a page takes to stand is the browser's own and the machine's, so the app's times are told as so many of it. Beside it lies
the same page with an empty Python, which starts from the memory that its first start has left: the least that an engine can take.
"""

from __future__ import annotations

import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import TracebackType

_PAGE = b"""<!doctype html>
<html lang="en-GB">
  <head>
    <meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1">
    <title>A bare page</title>
    <link rel="icon" href="data:,">
    <script type="module" src="/page.js"></script>
  </head>
  <body><main></main></body>
</html>
"""
#: Draws the field that the measuring looks for, as the app's own script does.
_SCRIPT = b"""const label = document.createElement('label');
label.id = 'field-name';
label.append('Name', document.createElement('input'));
document.querySelector('main').append(label);
navigator.serviceWorker.register('/sw.js');
"""
#: The page's script, and an empty Python begun as the app begins its own: from the memory of an earlier start, once there is one.
_ENGINE_SCRIPT = (
    _SCRIPT
    + b"""const worker = new Worker('/engine.js', { type: 'module' });
worker.onmessage = ({ data }) => performance.mark('engine-ready', { detail: data });
"""
)
_ENGINE = b"""import { loadPyodide } from '/python/pyodide.mjs';
const cache = await caches.open('bare-memory');
const kept = await cache.match('/memory');
const python = await loadPyodide({
  indexURL: '/python/',
  ...(kept ? { _loadSnapshot: new Uint8Array(await kept.arrayBuffer()) } : { _makeSnapshot: true }),
});
if (!kept) await cache.put('/memory', new Response(python.makeMemorySnapshot()));
python.runPython('1 + 1');
self.postMessage(kept ? 'memory' : 'nothing');
"""
_PYTHON = Path(__file__).resolve().parents[2] / "pwa" / "node_modules" / "pyodide"
_PYTHON_FILES = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json")
_TYPES = {".mjs": "text/javascript", ".wasm": "application/wasm", ".json": "application/json"}
_WORKER = b"""self.addEventListener('install', (event) => {
  event.waitUntil(caches.open('bare').then((cache) => cache.addAll(FILES)));
});
self.addEventListener('fetch', (event) => {
  event.respondWith(caches.match(event.request).then((kept) => kept ?? fetch(event.request)));
});
"""
_FILES = {
    "/": ("text/html", _PAGE),
    "/page.js": ("text/javascript", _SCRIPT),
    "/with-engine": ("text/html", _PAGE.replace(b"/page.js", b"/with-engine.js")),
    "/with-engine.js": ("text/javascript", _ENGINE_SCRIPT),
    "/engine.js": ("text/javascript", _ENGINE),
    **{
        f"/python/{name}": (_TYPES.get(Path(name).suffix, "application/octet-stream"), (_PYTHON / name).read_bytes())
        for name in _PYTHON_FILES
    },
}
_FILES["/sw.js"] = ("text/javascript", _WORKER.replace(b"FILES", json.dumps(list(_FILES)).encode()))


class _Answer(BaseHTTPRequestHandler):
    """Serves the three files and nothing else."""

    def do_GET(self) -> None:
        """Answer with the file of this address."""
        media_type, content = _FILES.get(self.path, (None, b""))
        self.send_response(200 if media_type else 404)
        self.send_header("Content-Type", media_type or "text/plain")
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, format: str, *args: object) -> None:
        """Nobody reads what was asked for."""


class BarePage:
    """A server of the bare page on a free port of this machine, for as long as its block runs."""

    def __init__(self) -> None:
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), _Answer)
        self.url = f"http://127.0.0.1:{self._server.server_port}/"
        self._thread = threading.Thread(target=self._server.serve_forever)

    def __enter__(self) -> BarePage:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def stop(self) -> None:
        """End it: from then on the page comes from what the browser has kept. Twice does no harm."""
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()

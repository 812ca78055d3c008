"""What every answer carries, and the built phone app: safety headers, files with honest ETags, the fallback for navigations."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from wsgiref.headers import Headers

from flask import Flask, Response, request
from werkzeug.exceptions import NotFound
from werkzeug.routing import PathConverter
from werkzeug.wrappers import Response as AnyResponse
from whitenoise import WhiteNoise

from .paths import MissingFilesError, pwa_folder

#: The pages run our own files only; drawings come as inline SVG or ``data:`` pictures, photos as ``blob:``.
CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        # The engine on the phone is WebAssembly, which this allows to be compiled; no text is ever run as a script.
        "script-src 'self' 'wasm-unsafe-eval'",
        "worker-src 'self'",
        "style-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "font-src 'self'",
        "img-src 'self' blob: data:",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    )
)
#: A browser's own viewer of PDFs is an object with styles to the policy, and is stopped by ours.
PDF_CONTENT_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"
#: The quotation as a page: its drawings and photos are in it, it asks for nothing and runs nothing.
PAGE_CONTENT_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; frame-ancestors 'none'"
SAFETY_HEADERS = (
    ("Content-Security-Policy", CONTENT_POLICY),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "same-origin"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Permissions-Policy", "camera=(self), geolocation=(self), microphone=(), payment=(), usb=()"),
)
#: The build puts a hash of the content into the names of these files, or of the folder they are in.
_HASHED = re.compile(r"^/(?:(?:assets|engine)/.+-[A-Za-z0-9_-]{8,}\.[a-z0-9]+|python-[0-9a-f]{12}/[a-z.]+)$")

#: Written by the build of the phone app from its own list.
ADDRESSES = "addresses.json"

Wsgi = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


def with_safety_headers(application: Wsgi) -> Wsgi:
    """Wrap a WSGI application so that every answer, a file's or a fault's, carries the safety headers."""

    def guarded(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        def start(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            given = {name.lower() for name, _ in headers}
            added = [header for header in SAFETY_HEADERS if header[0].lower() not in given]
            if environ.get("wsgi.url_scheme") == "https":
                added.append(("Strict-Transport-Security", "max-age=31536000"))
            return start_response(status, [*headers, *added], *rest)

        return application(environ, start)

    return guarded


class PageConverter(PathConverter):
    """The address of a page: anything but the API's."""

    regex = r"(?!api(?:/|$))[^/].*?"


def _set_file_headers(headers: Headers, path: str, url: str) -> None:
    # The library's own ETag is time and size: a rebuilt service worker of the same length would never reach a phone.
    headers["ETag"] = f'"{hashlib.sha256(Path(path).read_bytes()).hexdigest()[:32]}"'
    if not _HASHED.match(url):
        headers["Cache-Control"] = "no-cache"


def serve_phone_app(app: Flask) -> None:
    """Serve the built phone app; without one, say so on its page and go on serving the API."""
    try:
        folder = pwa_folder()
    except MissingFilesError as error:
        words = str(error)

        @app.get("/")
        def not_built() -> Response:
            return Response(f"{words}\n", 503, mimetype="text/plain")

        return
    page = (folder / "index.html").read_bytes()
    # The app says itself which addresses are its own.
    own = frozenset(json.loads((folder / ADDRESSES).read_text()))
    etag = hashlib.sha256(page).hexdigest()[:32]

    app.url_map.converters["page"] = PageConverter

    @app.get("/")
    @app.get("/<page:path>")
    def navigate(path: str = "") -> AnyResponse:
        # A file that is not there is no page, and an address that is not the app's gets its page to say so.
        if "." in path.rsplit("/", 1)[-1]:
            raise NotFound
        if request.path not in own:
            return Response(page, 404, mimetype="text/html", headers={"Cache-Control": "no-store"})
        response = Response(page, mimetype="text/html")
        response.headers["Cache-Control"] = "no-cache"
        response.set_etag(etag)
        return response.make_conditional(request)

    app.wsgi_app = WhiteNoise(  # type: ignore[method-assign]  # Flask's own way to wrap an application
        app.wsgi_app,
        root=folder,
        allow_all_origins=False,
        max_age=None,
        mimetypes={".webmanifest": "application/manifest+json"},
        immutable_file_test=lambda _path, url: bool(_HASHED.match(url)),
        add_headers_function=_set_file_headers,
    )

"""The server program as a whole, put together from its parts."""

from __future__ import annotations

from typing import cast

from flask import Flask, Response, request
from flask.json.provider import DefaultJSONProvider
from werkzeug.middleware.proxy_fix import ProxyFix

from .config import Settings, read_settings
from .database import db, engine_options, prepare_engine
from .sync.photos import MAX_BYTES
from .version import program_version


def create_app(settings: Settings | None = None) -> Flask:
    """Return the program for these settings (the environment's unless given); it does no I/O but to read its own files.

    The tables must be there before the first request: see :func:`wattwalk.database.migrate`.
    """
    from .api.access import PLAIN_COOKIE, register_access
    from .api.blueprints import HashConverter, IdConverter, WattwalkApi
    from .api.compression import register_compression
    from .api.errors import register_error_handlers
    from .api.gate import register_gates
    from .api.kept import register_kept_answers
    from .api.register import BLUEPRINTS, describe_shapes
    from .web import serve_phone_app, with_safety_headers

    settings = settings or read_settings()
    app = Flask("wattwalk", static_folder=None, template_folder=None)
    app.config.update(
        SETTINGS=settings,
        ALLOW_HTTP=settings.allow_http,
        COOKIE_IN_DESCRIPTION=PLAIN_COOKIE,
        SQLALCHEMY_DATABASE_URI=settings.database_url,
        SQLALCHEMY_ENGINE_OPTIONS=engine_options(settings.database_url),
        MAX_CONTENT_LENGTH=MAX_BYTES + 1,
        API_TITLE="Wattwalk",
        API_VERSION=program_version(),
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/api",
        OPENAPI_JSON_PATH="openapi.json",
    )
    cast(DefaultJSONProvider, app.json).sort_keys = False
    db.init_app(app)
    app.url_map.converters.update(id=IdConverter, sha256=HashConverter)
    with app.app_context():
        prepare_engine(db.engine)
        register_error_handlers(app)
        register_access(app)
        register_gates(app)
        register_kept_answers(app)
        register_compression(app)
        api = WattwalkApi(app)
        api.describe()
        describe_shapes(api)
        for blueprint in BLUEPRINTS:
            api.register_blueprint(blueprint)
    app.after_request(_keep_out_of_caches)
    serve_phone_app(app)
    app.wsgi_app = with_safety_headers(app.wsgi_app)  # type: ignore[method-assign, assignment]  # Flask's own way to wrap an application
    if settings.trust_proxy:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=1, x_proto=1, x_host=1)  # type: ignore[method-assign]  # as above
    return app


def _keep_out_of_caches(response: Response) -> Response:
    # Papers and photos too: a browser's cache outlives the sign-in, and the next person uses the same one.
    if request.path.startswith("/api/"):
        response.headers["Cache-Control"] = "no-store"
    return response

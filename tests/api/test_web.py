"""Every answer carries the safety headers, and the phone app's files can be trusted to be new."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.support.cast import ADA, Office
from wattwalk import web
from wattwalk.app import create_app
from wattwalk.config import SettingError, Settings, database_url, read_settings
from wattwalk.database import db
from wattwalk.paths import MissingFilesError


@pytest.fixture
def built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder like the one the phone app's build makes."""
    folder = tmp_path / "dist"
    (folder / "assets").mkdir(parents=True)
    (folder / "index.html").write_text("<!doctype html><title>Wattwalk</title>")
    (folder / "addresses.json").write_text('["/", "/index.html"]')
    (folder / "sw.js").write_text("const version = 1;")
    (folder / "manifest.webmanifest").write_text("{}")
    (folder / "assets" / "main-BX3k_f9Q.js").write_text("export {};")
    for name in ("engine/library-0123456789ab.bin", "python-0123456789ab/pyodide.asm.wasm"):
        (folder / name).parent.mkdir()
        (folder / name).write_bytes(b"machine code")
    monkeypatch.setattr(web, "pwa_folder", lambda: folder)
    return folder


def client_of(folder: Path):
    return create_app(Settings(folder, f"sqlite:///{folder / 'none.sqlite3'}")).test_client()


def test_pages_and_files_come_with_their_types(built: Path, tmp_path: Path) -> None:
    client = client_of(tmp_path)
    page = client.get("/", buffered=True)
    assert (page.content_type, page.headers["Cache-Control"]) == ("text/html; charset=utf-8", "no-cache")
    assert client.get("/index.html", buffered=True).data == page.data
    assert client.get("/sw.js", buffered=True).content_type.startswith("text/javascript")
    assert client.get("/sw.js", buffered=True).headers["Cache-Control"] == "no-cache"
    assert client.get("/manifest.webmanifest", buffered=True).content_type == "application/manifest+json"
    assert "immutable" in client.get("/assets/main-BX3k_f9Q.js", buffered=True).headers["Cache-Control"]
    assert "immutable" in client.get("/engine/library-0123456789ab.bin", buffered=True).headers["Cache-Control"]
    wasm = client.get("/python-0123456789ab/pyodide.asm.wasm", buffered=True)
    assert (wasm.content_type, "immutable" in wasm.headers["Cache-Control"]) == ("application/wasm", True)
    for path in ("/assets/main-OLDHASH1.js", "/favicon.ico", "/../config.py", "/%2e%2e/config.py"):
        absent = client.get(path)
        assert (absent.status_code, absent.data == page.data) == (404, False), path
    assert client.get("/api/nowhere").json["code"] == "not_found"
    for path in ("/api", "/api/", "/api/survey/1"):
        refused = client.get(path)
        assert (refused.status_code, refused.data == page.data) == (404, False), path


def test_an_address_that_is_not_the_apps_is_not_found_and_its_page_says_so(built: Path, tmp_path: Path) -> None:
    client = client_of(tmp_path)
    page = client.get("/")
    for path in ("/nowhere", "/survey/1/room/2", "/sign-in", "/apiary"):
        absent = client.get(path, headers={"If-None-Match": page.headers["ETag"]})
        assert (absent.status_code, absent.content_type, absent.data) == (404, "text/html; charset=utf-8", page.data), (
            path
        )
        assert (client.head(path).status_code, absent.headers["Cache-Control"]) == (404, "no-store"), path
    # What is the app's own, the app says.
    (built / "addresses.json").write_text('["/", "/sign-in"]')
    assert [client_of(tmp_path).get(path).status_code for path in ("/", "/sign-in", "/nowhere")] == [200, 200, 404]


@pytest.mark.parametrize("name", ["sw.js", "index.html"])
def test_a_rebuilt_file_of_the_same_length_and_time_has_another_etag(built: Path, tmp_path: Path, name: str) -> None:
    path = "/" if name == "index.html" else f"/{name}"
    before = client_of(tmp_path).get(path, buffered=True)
    assert (
        client_of(tmp_path).get(path, headers={"If-None-Match": before.headers["ETag"]}, buffered=True).status_code
        == 304
    )
    time = (built / name).stat().st_mtime_ns
    (built / name).write_text(before.text.replace("1", "2") if name == "sw.js" else before.text.replace("W", "V"))
    os.utime(built / name, ns=(time, time))
    after = client_of(tmp_path).get(path, headers={"If-None-Match": before.headers["ETag"]}, buffered=True)
    assert after.status_code == 200
    assert len(after.data) == len(before.data)
    assert after.headers["ETag"] != before.headers["ETag"]


def test_what_was_compressed_beforehand_is_sent_so(built: Path, tmp_path: Path) -> None:
    for ending, content in (("br", b"br"), ("gz", b"gzip")):
        (built / f"engine/library-0123456789ab.bin.{ending}").write_bytes(content)
    client = client_of(tmp_path)
    for accepted, sent, encoding in (("br, gzip", b"br", "br"), ("gzip", b"gzip", "gzip"), ("", b"machine code", None)):
        answer = client.get("/engine/library-0123456789ab.bin", headers={"Accept-Encoding": accepted}, buffered=True)
        assert (answer.data, answer.headers.get("Content-Encoding")) == (sent, encoding)


def test_without_a_built_app_the_page_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> Path:
        raise MissingFilesError("The built phone app are missing.")

    monkeypatch.setattr(web, "pwa_folder", missing)
    answer = client_of(tmp_path).get("/")
    assert (answer.status_code, "missing" in answer.text) == (503, True)


def test_every_answer_carries_the_safety_headers(office: Office) -> None:
    client = office.device(ADA).client
    for path in ("/", "/api/health", "/api/surveys", "/api/nowhere", "/nowhere.txt", "/sw.js"):
        headers = client.get(path, buffered=True).headers
        assert "default-src 'none'" in headers["Content-Security-Policy"], path
        # WebAssembly may be compiled, for the engine on the phone; nothing else is let in.
        assert headers["Content-Security-Policy"].replace("'wasm-unsafe-eval'", "").count("unsafe") == 0, path
        assert "script-src 'self' 'wasm-unsafe-eval';" in headers["Content-Security-Policy"], path
        assert headers["X-Content-Type-Options"] == "nosniff", path
        assert headers["Referrer-Policy"] == "same-origin", path
        assert "Strict-Transport-Security" not in headers, path
    assert client.get("/api/health").headers["Cache-Control"] == "no-store"
    assert "Strict-Transport-Security" in client.get("/api/health", base_url="https://office.example").headers


def test_a_proxy_is_believed_only_when_the_settings_say_so(office: Office, tmp_path: Path) -> None:
    forwarded = {"X-Forwarded-Proto": "https", "X-Forwarded-Host": "office.example", "Origin": "https://office.example"}
    given = {"email": "nobody@teasel.example", "password": "some password"}
    assert office.app.test_client().post("/api/session", json=given, headers=forwarded).json["code"] == "wrong_origin"
    behind = create_app(Settings(tmp_path, office.settings.database_url, trust_proxy=True))
    assert behind.test_client().post("/api/session", json=given, headers=forwarded).json["code"] == "wrong_sign_in"
    with behind.app_context():
        db.engine.dispose()


@pytest.mark.parametrize("url", ["postgres://a:b@h/d", "postgresql://a:b@h/d", "postgresql+psycopg://a:b@h/d"])
def test_every_way_of_writing_postgresql_is_understood(url: str) -> None:
    assert database_url(url) == "postgresql+psycopg://a:b@h/d"


@pytest.mark.parametrize("url", ["mysql://a:secret@h/d", "sqlite://", "sqlite:///:memory:", "nonsense"])
def test_another_database_is_refused_without_telling_its_password(url: str) -> None:
    with pytest.raises(SettingError, match="DATABASE_URL") as refused:
        database_url(url)
    assert "secret" not in str(refused.value)


def test_settings_have_defaults_and_refuse_what_cannot_be_meant(tmp_path: Path) -> None:
    settings = read_settings({"WATTWALK_HOME": str(tmp_path)})
    assert settings.database_url == f"sqlite:///{tmp_path / 'wattwalk.sqlite3'}"
    assert settings.is_embedded
    assert read_settings({"WATTWALK_TRUST_PROXY": "yes"}).trust_proxy
    with pytest.raises(SettingError, match="WATTWALK_TRUST_PROXY"):
        read_settings({"WATTWALK_TRUST_PROXY": "perhaps"})

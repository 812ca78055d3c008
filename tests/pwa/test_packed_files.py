"""What the office sends of the phone app comes packed: each large file of text has its packed twins beside it."""

from __future__ import annotations

import brotli

from wattwalk.paths import pwa_folder

#: Files of fewer bytes fit into one packet as they are.
SMALL = 1_400
TEXT = {".html", ".js", ".mjs", ".css", ".json", ".svg", ".webmanifest"}
#: The survey model packed, bytes: it is asked for before the first form can stand.
MODEL_AT_MOST = 32_000


def test_every_large_text_has_packed_twins_that_say_the_same() -> None:
    texts = [path for path in pwa_folder().rglob("*") if path.suffix in TEXT and path.stat().st_size > SMALL]
    assert any(path.name.startswith("model-") for path in texts)
    for path in texts:
        packed = path.with_name(f"{path.name}.br")
        assert packed.is_file(), path.name
        assert brotli.decompress(packed.read_bytes()) == path.read_bytes(), path.name


def test_the_survey_model_is_sent_small() -> None:
    (model,) = (pwa_folder() / "assets").glob("model-*.js.br")
    assert model.stat().st_size < MODEL_AT_MOST

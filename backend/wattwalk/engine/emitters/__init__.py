"""Radiators and heated floors: what each gives at any flow temperature."""

from .compiled import compile_emitter, emitter_findings, emitter_result

__all__ = ["compile_emitter", "emitter_findings", "emitter_result"]

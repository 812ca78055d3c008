"""The engine's version, written into every assessment: it changes whenever a figure can."""

ENGINE_VERSION = "0.4.0"

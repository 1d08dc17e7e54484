"""Findings as people and programs read them. Every reporter turns the same Report into one text."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from benchlore.reporters import annotations, code_quality, data, text
from benchlore.reporters.report import Report

FORMATS: Mapping[str, Callable[[Report], str]] = MappingProxyType(
    {
        "text": text.render,
        "json": data.render,
        "github": annotations.render,
        "code-quality": code_quality.render,
    }
)

__all__ = ["FORMATS", "Report"]

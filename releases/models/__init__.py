"""Patterns, their versions, and all that belongs to a version."""

from releases.models.booklet import Notion, PieceNote, SilencedWording, Step, StepShown
from releases.models.fabric import FabricRequirement, Material, MaterialKind, Piece, PieceSize
from releases.models.files import ArrivingFile, FileComparison, FileKind, MadeState, MadeTables, PatternFile
from releases.models.launch import LaunchWord, SignOffState, SizeSignOff, Stale
from releases.models.patterns import DeclaredEase, Fabric, FinishedLength, GarmentKind, Pattern, Version, VersionState

__all__ = [
    "ArrivingFile",
    "DeclaredEase",
    "Fabric",
    "FabricRequirement",
    "FileComparison",
    "FileKind",
    "FinishedLength",
    "GarmentKind",
    "LaunchWord",
    "MadeState",
    "MadeTables",
    "Material",
    "MaterialKind",
    "Notion",
    "Pattern",
    "PatternFile",
    "Piece",
    "PieceNote",
    "PieceSize",
    "SignOffState",
    "SilencedWording",
    "SizeSignOff",
    "Stale",
    "Step",
    "StepShown",
    "Version",
    "VersionState",
]

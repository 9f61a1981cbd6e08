"""What a version is cut from: materials, pieces with a box a size, fabric needed."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from measurements.models import LengthField
from people.models import Referenced
from releases.models.patterns import Version


class MaterialKind(models.TextChoices):
    SHELL = "shell", _("shell")
    LINING = "lining", _("lining")
    INTERFACING = "interfacing", _("interfacing")
    OTHER = "other", _("other")


class Material(Referenced):
    """A cloth that a version is cut from: the widths that are offered, and what the cloth asks of a layout.

    `widths` is a list of {mm, typed}. `cut_from`: its pieces are laid on that material's cloth, together with them.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="materials")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(_("what it is"), max_length=12, choices=MaterialKind, default=MaterialKind.SHELL)
    name = models.CharField(_("name"), max_length=40)
    widths = models.JSONField(default=list)
    selvedge_mm = LengthField(default=30)
    selvedge_typed = models.CharField(max_length=40, blank=True)
    nap = models.BooleanField(_("all pieces point one way"), default=False)
    shrinkage = models.DecimalField(_("shrinkage, per cent"), max_digits=4, decimal_places=1, default=0)
    repeat_mm = LengthField(default=0)
    repeat_typed = models.CharField(max_length=40, blank=True)
    gap_mm = LengthField(default=0)
    gap_typed = models.CharField(max_length=40, blank=True)
    cut_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="shared_by")

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["version", "name"], name="one_material_a_name")]

    def __str__(self) -> str:
        return self.name


class Piece(models.Model):
    """A line of the cutting list: how many are cut of which material, and how."""

    class Cut(models.TextChoices):
        FOLD = "fold", _("on the fold")
        PAIR = "pair", _("in pairs")
        SINGLE = "single", _("singly")

    class Grain(models.TextChoices):
        LENGTH = "length", _("lengthwise")
        CROSS = "cross", _("crosswise")
        BIAS = "bias", _("bias")
        ANY = "any", _("any")

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="pieces")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(_("piece"), max_length=60)
    count = models.PositiveSmallIntegerField(_("cut"), default=1)
    cut = models.CharField(max_length=6, choices=Cut, default=Cut.PAIR)
    grain = models.CharField(max_length=6, choices=Grain, default=Grain.LENGTH)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.name


class PieceSize(models.Model):
    """The box of a piece in one size, with its seam allowances: its own length and width, the half of a fold piece."""

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="boxes")
    size = models.CharField(max_length=20)
    length_mm = LengthField()
    length_typed = models.CharField(max_length=40)
    width_mm = LengthField()
    width_typed = models.CharField(max_length=40)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["piece", "size"], name="one_box_a_piece_and_size")]

    def __str__(self) -> str:
        return f"{self.piece} {self.size}"


class FabricRequirement(Referenced):
    """What one size needs of a material at one width, from its full layout; `content` tells what it was laid from.

    `placements` hold piece, x, y, length, width in thousandths of a millimetre, turned, opened. A size that does not
    go on this width has sentences in `refused` (code, template, values) and no length.
    """

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="requirements")
    size = models.CharField(max_length=20)
    width_mm = LengthField()
    content = models.CharField(max_length=64)
    way = models.CharField(max_length=6, blank=True)
    length_mm = LengthField(null=True, blank=True)
    tenths_of_metre = models.PositiveIntegerField(null=True, blank=True)
    eighths_of_yard = models.PositiveIntegerField(null=True, blank=True)
    placements = models.JSONField(default=list)
    refused = models.JSONField(default=list)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["material", "size", "width_mm"], name="one_layout_a_size_and_width")
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.size}"

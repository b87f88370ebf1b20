"""Going back: what state was like at the start of a day, kept as the images of what has changed since.

A layer begins with a day. What is about to change for the first time in a layer is kept as it was; taking the layers
off again, newest first, restores it. A run that never goes back keeps nothing.
"""

from __future__ import annotations

from typing import Any, Protocol


class Kept(Protocol):
    """Something with an image of itself."""

    saved: int
    """The layer it was last kept in."""

    def image(self) -> Any:
        """What it is like now."""

    def restore(self, image: Any) -> None:
        """Be like that again."""


class Undo:
    """Layers of images. Layer 0 has no end and keeps nothing."""

    __slots__ = ("_last", "images", "layers", "serial")

    def __init__(self) -> None:
        self.serial = 0
        """Number of the newest layer; never given twice."""
        self.layers: list[tuple[int, int, list[tuple[Kept, Any]], Any]] = []
        """First day, number, images of what changed in it, and what the owner noted when it began."""
        self.images: list[tuple[Kept, Any]] = []
        """Those of the newest layer."""
        self._last = 0

    def begin(self, day: int, note: Any) -> None:
        """Start a layer before anything of `day` happens."""
        self._last += 1
        self.serial = self._last
        self.images = []
        self.layers.append((day, self.serial, self.images, note))

    def keep(self, what: Kept) -> None:
        """Keep something that is about to change, when it was not yet kept in this layer."""
        what.saved = self.serial
        self.images.append((what, what.image()))

    def back_to(self, day: int) -> Any:
        """Restore the start of the newest layer that began by `day`; that layer and all after it are taken off.

        Of several images of one thing only the oldest is restored: each is whole in itself.

        Returns:
            The first day of that layer and what the owner noted then; `None` if there is none, and nothing is restored.
        """
        if not self.layers or self.layers[0][0] > day:
            return None
        oldest: dict[Kept, Any] = {}
        while True:
            first, _, images, note = self.layers.pop()
            oldest.update(reversed(images))
            if first <= day:
                break
        for what, image in oldest.items():
            what.restore(image)
        self.serial = self.layers[-1][1] if self.layers else 0
        self.images = self.layers[-1][2] if self.layers else []
        return first, note

"""Going back: what state was like at the start of a day, kept as the images of what has changed since.

A layer begins with a day. What is about to change for the first time in a layer is kept as it was; taking the layers
off again, newest first, restores it. A run that never goes back keeps nothing.
"""

from __future__ import annotations

from typing import Any, Protocol

from ledger.costs.vector import Cut


class Kept(Protocol):
    """Something with an image of itself."""

    saved: int
    """The layer it was last kept in."""

    def image(self) -> Any:
        """What it is like now."""

    def restore(self, image: Any) -> None:
        """Be like that again."""

    def few(self) -> Any:
        """The amounts in it; asked of something of a run of few categories, for `mended` of a run of all."""

    def mended(self, image: Any, few: Any, cut: Cut) -> Any:
        """An image with the amounts of the categories cut out as they are in `few`."""


class Mended:
    """An image of which some categories were reckoned anew; put together when it is asked for."""

    __slots__ = ("few", "image")

    def __init__(self, image: Any, few: dict[Cut, Any]) -> None:
        self.image, self.few = image, few
        """The image, and by cut what its categories came to since, the latest last."""


def mend(image: Any, cut: Cut, few: Any) -> Mended:
    """An image with what the categories of a cut came to."""
    before = image.few if isinstance(image, Mended) else {}
    rest = {one: amounts for one, amounts in before.items() if one != cut}
    return Mended(image.image if isinstance(image, Mended) else image, {**rest, cut: few})


def whole_image(what: Kept, image: Any) -> Any:
    """An image as it is now held to have been."""
    if isinstance(image, Mended):
        found = image.image
        for cut, few in image.few.items():
            found = what.mended(found, few, cut)
        return found
    return image


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

    def keep_in_all(self, what: Kept) -> None:
        """Keep something new as it is now in every layer: it might have been there, and was like this."""
        what.saved = self.serial
        for *_, images, _ in self.layers:
            images.append((what, what.image()))

    def layer_at(self, day: int) -> int | None:
        """Place of the newest layer that began by `day`; `None` if there is none."""
        found = None
        for place, (first, *_) in enumerate(self.layers):
            if first > day:
                break
            found = place
        return found

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
            what.restore(whole_image(what, image))
        self.serial = self.layers[-1][1] if self.layers else 0
        self.images = self.layers[-1][2] if self.layers else []
        return first, note

"""A key: a box of ink with a word or a sign, and what a touch on it means."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, Self

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import (
    BooleanProperty,
    NumericProperty,
    ObjectProperty,
    StringProperty,
)

from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import (
    Align,
    Box,
    dot,
    fill,
    frame,
    ring,
    triangle,
    wraps,
    write,
)

if TYPE_CHECKING:
    from kivy.input.motionevent import MotionEvent

    from mobile.theme import Colour, Pair, Theme

__all__ = ["LONG_PRESS_S", "Key", "Sign"]

LONG_PRESS_S = 0.45
LET_GO_S = 0.15
"""A key looks pressed until what it did is shown, or at most for so long: a frame for
this alone would keep what is entered from the disk and from the partner."""
SLIDES = "slides"
"""Marks a touch that has acted as it came down, and may act again where it ends."""
SLOP_DP = 24.0
LEGEND_DP, LEGEND_FROM_DP = 11.0, 72.0
CAPTION_DP = 13.0
TWO_LINES_DP = 36.0


class Sign(Enum):
    """What stands on a key in place of a word, as a shape."""

    WORD = "word"
    MADE = "made"
    """A filled circle: a free throw that went in."""
    MISSED = "missed"
    """An open one."""
    LEFT = "left"
    RIGHT = "right"


class Key(Drawn):
    """A key. It answers the finger at once and acts when the finger is lifted.

    A finger that slides off before it is lifted has done nothing.
    """

    label = StringProperty("")
    legend = StringProperty("")
    """The key of the keyboard that does the same."""
    caption = StringProperty("")
    """A word in small letters under the label."""
    sign: Sign = ObjectProperty(Sign.WORD)
    text_dp = NumericProperty(16.0)
    intent: object | None = ObjectProperty(None, allownone=True)
    """What a touch means; None while there is nothing to do."""
    rarer: object | None = ObjectProperty(None, allownone=True)
    """What a long press means, or None where it is a touch like any other."""
    filled: bool = BooleanProperty(False)
    at_once: bool = BooleanProperty(False)
    """Acts when the finger comes down: where every tenth of a second counts."""
    takes_slides: bool = BooleanProperty(False)
    """Acts when a finger is lifted here that came down on a key that acts at once."""
    pressed: bool = BooleanProperty(False)

    def __init__(self, **kwargs: object) -> None:
        self._long_press: object = None
        self._fingers = 0
        self._let_go = Clock.create_trigger(self._show_let_go, LET_GO_S)
        super().__init__(**kwargs)
        for name in (
            "label",
            "legend",
            "caption",
            "sign",
            "intent",
            "filled",
            "pressed",
        ):
            self.fbind(name, self.redraw)

    @property
    def pair(self) -> Pair:
        """The colours in which the key is drawn at the moment."""
        if self.intent is None and not self.filled:
            return self.look.key_off
        return self.look.filled if self.filled != self.pressed else self.look.key

    def on_touch_down(self, touch: MotionEvent) -> bool:
        """Takes a finger that comes down on the key."""
        if not self.collide_point(*touch.pos) or self.intent is None:
            return False
        touch.grab(self)
        self._fingers += 1
        self.pressed = True
        if self.at_once:
            touch.ud[SLIDES] = True
            self.dispatch("on_touched", self.intent)
        elif self.rarer is not None:
            self._long_press = Clock.schedule_once(self._held_long, LONG_PRESS_S)
        return True

    def on_touch_move(self, touch: MotionEvent) -> bool:
        """Shows that a finger that slides over the key would act here."""
        if self.takes_slides and SLIDES in touch.ud:
            self.pressed = self.collide_point(*touch.pos)
        return False

    def on_touch_up(self, touch: MotionEvent) -> bool:
        """Acts, if the finger is lifted where the key is."""
        if touch.grab_current is not self:
            return self._end_slide(touch)
        touch.ungrab(self)
        self._fingers -= 1
        was_held = self.rarer is not None and self._long_press is None
        self._forget_press()
        self._let_go()
        is_on_key = self.collide_point(*touch.pos)
        if is_on_key and not was_held and not self.at_once and self.intent is not None:
            self.dispatch("on_touched", self.intent)
        return True

    def _end_slide(self, touch: MotionEvent) -> bool:
        """Acts where a slide ends that began elsewhere."""
        if not self.takes_slides or SLIDES not in touch.ud:
            return False
        self.pressed = False
        has_slid = abs(touch.x - touch.ox) + abs(touch.y - touch.oy) > dp(SLOP_DP)
        if not has_slid or self.intent is None or not self.collide_point(*touch.pos):
            return False
        self.dispatch("on_touched", self.intent)
        return True

    def stand(self, box: Box, look: Theme) -> Self:
        """Places the key anew, as what is shown with it has changed."""
        self._show_let_go()
        return super().stand(box, look)

    def _show_let_go(self, *_: object) -> None:
        self.pressed = self._fingers > 0

    def _held_long(self, _elapsed_s: float) -> None:
        self._long_press = None
        if self.pressed:
            self.dispatch("on_touched", self.rarer)

    def _forget_press(self) -> None:
        if self._long_press is not None:
            Clock.unschedule(self._long_press)
            self._long_press = None

    def draw(self) -> None:
        """Draws the frame, and the word or sign in it."""
        pair, box = self.pair, self.box
        fill(pair.ground, box)
        is_off = self.intent is None and not self.filled
        frame(self.look.rule if is_off else self.look.line, box)
        self.draw_face(pair.ink, box.inset(dp(4)))
        if self.legend and self.width >= dp(LEGEND_FROM_DP):
            corner = Box(box.x, box.top - dp(16), box.width - dp(6), dp(14))
            write(pair.ink, self.legend, corner, LEGEND_DP, align=Align.RIGHT)

    def draw_face(self, ink: Colour, face: Box) -> None:
        """Draws what stands on the key."""
        centre = (face.x + face.width / 2, face.y + face.height / 2)
        size = min(face.width, face.height)
        match self.sign:
            case Sign.WORD:
                self._write_words(ink, face)
            case Sign.MADE:
                dot(ink, centre, size * 0.17)
            case Sign.MISSED:
                ring(ink, centre, size * 0.16)
            case Sign.LEFT:
                triangle(ink, _pointing(centre, -size * 0.32))
            case Sign.RIGHT:
                triangle(ink, _pointing(centre, size * 0.32))

    def _write_words(self, ink: Colour, face: Box) -> None:
        if self.caption:
            words = Box(face.x, face.y + dp(3), face.width, dp(CAPTION_DP * 1.3))
            write(ink, self.caption, words, CAPTION_DP)
            face = Box(face.x, words.top, face.width, face.top - words.top)
        lines = wraps(self.label, face, self.text_dp)
        if lines is None or face.height < dp(TWO_LINES_DP):
            write(ink, self.label, face, self.text_dp, bold=True)
            return
        size_dp, half = min(self.text_dp, 14.0), dp(17)
        middle = face.y + face.height / 2
        for line, y in zip(lines, (middle, middle - half), strict=True):
            write(ink, line, Box(face.x, y, face.width, half), size_dp, bold=True)


def _pointing(centre: tuple[float, float], reach: float) -> list[tuple[float, float]]:
    x, y = centre
    return [(x + reach, y), (x - reach, y + abs(reach)), (x - reach, y - abs(reach))]

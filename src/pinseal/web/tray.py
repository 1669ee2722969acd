"""Lists that were handed over and are not taken in yet: kept in memory, the oldest given up first."""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field

from pinseal.catalogue import gettext as _
from pinseal.intake.questions import Question
from pinseal.intake.register import Register
from pinseal.reasons import Refusal
from pinseal.service.taking_in import ImportPlan, TakenIn, Unsure
from pinseal.web.doors import Office, Upload

LISTS_MAX = 8


@dataclass(slots=True, kw_only=True)
class Draft:
    """A list with the answers given so far. What was read by these answers is kept until an answer changes.

    `asked` holds every question and doubt that came up, so that an answer can be given anew.
    """

    upload: Upload
    answers: Mapping[str, str] = field(default_factory=dict)
    asked: dict[str, Question | Unsure] = field(default_factory=dict)
    taken: TakenIn | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)
    _register: Register | None = None
    _plan: ImportPlan | None = None

    def register(self, office: Office) -> Register:
        """The list as read by the answers. Raises `Refusal`."""
        with self.lock:
            if self._register is None:
                self._register = office.read(self.upload, self.answers)
                self.asked.update({question.id: question for question in self._register.questions})
            return self._register

    def plan(self, office: Office) -> ImportPlan:
        """What taking the list in would do. Raises `Refusal`."""
        with self.lock:
            if self._plan is None:
                self._plan = office.preview(self.upload, self.answers)
                self.asked.update({doubt.id: doubt for doubt in self._plan.uncertain})
            return self._plan

    def answer(self, answers: Mapping[str, str], office: Office) -> None:
        """Take other answers; those that the list refuses change nothing. Raises `Refusal`."""
        register = office.read(self.upload, answers)
        with self.lock:
            self.answers, self._register, self._plan = dict(answers), register, None
            self.asked.update({question.id: question for question in register.questions})

    def take_in(self, office: Office, person: str) -> TakenIn:
        """Take the list in once; sent again, the same answer comes back. Raises `Refusal`."""
        with self.lock:
            if self.taken is None:
                self.taken = office.take_in(self.upload, self.answers, person)
            return self.taken


class Tray:
    """The lists that lie here, by a key that cannot be guessed."""

    def __init__(self, lists_max: int = LISTS_MAX) -> None:
        self._lists_max = lists_max
        self._drafts: OrderedDict[str, Draft] = OrderedDict()
        self._lock = threading.Lock()

    def put(self, draft: Draft) -> str:
        """Lay a list down. Returns its key."""
        key = secrets.token_urlsafe(16)
        with self._lock:
            self._drafts[key] = draft
            while len(self._drafts) > self._lists_max:
                self._drafts.popitem(last=False)
        return key

    def get(self, key: str) -> Draft:
        """The list of that key. Raises `Refusal` where it lies here no longer."""
        with self._lock:
            draft = self._drafts.get(key)
            if draft:
                self._drafts.move_to_end(key)
                return draft
        raise Refusal(
            what=_("this list is no longer here"),
            rule=_("the last %(n)s lists are kept until they are taken in or the program stops", n=self._lists_max),
            got="",
            do=_("hand the list over again; nothing was written"),
        )

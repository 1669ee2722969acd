"""The kinds of record about batches of agent in the shop: bought or recovered, weighed, tested, certified, sent away, used up."""

from __future__ import annotations

from dataclasses import replace

from pinseal.records.fields import Field
from pinseal.records.kind import INSTRUMENT, LOT, REASON, RESULT, RecordKind

_ID = Field(name="id", required=True, help="what the batch is called in the shop; units name it as container or lot")
_AGENT = Field(name="agent", type="agent", required=True, help="which agent")
_MASS = Field(name="mass", type="mass", required=True, help="how much")
_DRUM = Field(name="container", help="the drum or cylinder that it lies in, where its number is not the name of the batch")
_CAME_FROM = Field(name="came-from", help="where it came from: a supplier, the units of a site")
_CERTIFICATE = Field(name="certificate", help="the number of the paper")

BATCH_KINDS: tuple[RecordKind, ...] = (
    RecordKind(
        code="batch-received",
        label="batch of agent received",
        help="agent was bought, or lies in the store when the account begins (0 lb says that there is none)",
        about="batch",
        fields=(
            _ID,
            _AGENT,
            _MASS,
            Field(name="origin", type="agent-origin", required=True, help="virgin, recycled or not known"),
            LOT,
            _DRUM,
            _CAME_FROM,
            _CERTIFICATE,
        ),
    ),
    RecordKind(
        code="batch-recovered",
        label="batch of recovered agent begun",
        help="a container for recovered agent; what units on record give to it is counted from their own records",
        about="batch",
        fields=(
            _ID,
            _AGENT,
            replace(_MASS, required=False, help="only what came from units that are not on record"),
            LOT,
            _DRUM,
            _CAME_FROM,
        ),
    ),
    RecordKind(code="batch-weighed", label="batch of agent weighed", help="what lies in it now", about="batch", fields=(_MASS, INSTRUMENT)),
    RecordKind(
        code="batch-tested",
        label="batch of agent tested",
        help="its purity was tested",
        about="batch",
        fields=(
            Field(name="purity", type="percent", required=True, help="the purity that was found, percent"),
            Field(name="purity-method", required=True, help="by which method, for example gas chromatography"),
            RESULT,
            Field(name="laboratory", help="who tested it"),
            _CERTIFICATE,
        ),
    ),
    RecordKind(
        code="batch-certified",
        label="batch of agent certified as recycled",
        help="somebody vouches for it as recycled agent",
        about="batch",
        fields=(
            replace(_CERTIFICATE, required=True),
            Field(name="recycler", required=True, help="who recycled it"),
            replace(_MASS, help="the mass that the paper speaks of"),
        ),
    ),
    RecordKind(
        code="batch-sent",
        label="agent of a batch sent away",
        help="it left the shop, whole or in part",
        about="batch",
        fields=(
            _MASS,
            Field(name="sent-for", type="batch-way", required=True, help="what it was sent for"),
            Field(name="sent-to", help="to whom"),
            _CERTIFICATE,
        ),
    ),
    RecordKind(code="batch-used-up", label="batch of agent used up", help="nothing is left in it", about="batch", fields=(REASON,)),
)

"""Rule packs: dated provisions as data, each with its document, edition, clause and how it was checked."""

from pinseal.standards.load import choose_packs, held_packs, load_pack
from pinseal.standards.model import Chosen, Clock, Interval, Pack, Provision, Start

__all__ = ["Chosen", "Clock", "Interval", "Pack", "Provision", "Start", "choose_packs", "held_packs", "load_pack"]

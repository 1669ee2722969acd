"""The strict loader: one test for the words of each refusal."""

from pathlib import Path

import pytest
from pack_makers import HEAD, provision, write_pack

from pinseal.reasons import Refusal
from pinseal.standards import choose_packs, load_pack


def refusal(folder: Path, *provisions: str, head: str = HEAD) -> Refusal:
    with pytest.raises(Refusal) as caught:
        load_pack(write_pack(folder, *provisions, head=head))
    assert caught.value.exit_code == 2
    return caught.value


def test_a_sound_pack_loads(tmp_path: Path) -> None:
    pack = load_pack(write_pack(tmp_path, provision()))
    assert (pack.id, pack.newest, [p.id for p in pack.provisions]) == ("trial", "2011", ["yearly"])
    assert pack.provisions[0].editions == ("2001", "2011")
    assert pack.provisions[0].in_force_to is None


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"colour": '"red"'}, "trial/clocks.toml, provision yearly: wrong key (got colour); the keys here are"),
        ({"clause": None}, "provision yearly: clause is missing (got nothing); a provision has id, title, duty, clause"),
        ({"in_force_to": None}, "provision yearly: in_force_to is missing (got nothing)"),
        ({"checked": None}, "provision yearly: checked is missing (got nothing)"),
        ({"clause": '" "'}, "clause is missing or is no text (got  ); every entry says its clause"),
        ({"title": "7"}, "title is missing or is no text (got 7); every entry says its title"),
        ({"duty": '"polishing"'}, "unknown duty (got polishing); duty is one of inspection, maintenance"),
        ({"effect": '"perhaps"'}, "unknown effect (got perhaps); effect is one of clock, exempt, gap, withdraw"),
        ({"checked": '"somehow"'}, "unknown way of checking (got somehow); way of checking is one of public copy"),
        ({"editions": '["1999"]'}, "unknown edition (got 1999); edition is one of 2001, 2011"),
        ({"binds": '"sale"'}, "unknown binds (got sale); binds is one of refill"),
        ({"pick": '"latest"'}, "unknown pick (got latest); pick is one of first-known, earliest"),
        ({"join": '"polishing"'}, "unknown duty (got polishing)"),
        ({"at_next": '["polishing"]'}, "unknown duty (got polishing)"),
        ({"after": '["polished"]'}, "unknown fact (got polished); fact is one of manufactured, placed-in-service"),
        ({"in_force_from": "2001-01-01T00:00:00"}, "in_force_from is not a date (got 2001-01-01 00:00:00); a date is written YYYY-MM-DD"),
        ({"in_force_from": '"2001-01-01"'}, "in_force_from is not a date (got 2001-01-01); a date is written YYYY-MM-DD, without quotes"),
        ({"in_force_to": '"soon"'}, 'in_force_to (a day, or "open") is not a date (got soon)'),
        ({"checked_on": "2026"}, "checked_on is not a date (got 2026)"),
        ({"made_before": '"1984-10"'}, "made_before is not a date (got 1984-10)"),
        ({"withdraw_by": "1982"}, "withdraw_by is not a date (got 1982)"),
        ({"in_force_to": "2000-12-31"}, "it ends before it begins (got 2001-01-01 to 2000-12-31); in_force_from is not after in_force_to"),
        ({"interval": '"yearly"'}, "this is not an interval (got yearly); an interval is a whole number and days, months or years"),
        ({"interval": '"1.5 years"'}, "this is not an interval (got 1.5 years)"),
        ({"interval": '"0 years"'}, "this is not an interval (got 0 years)"),
        ({"interval": '"-1 years"'}, "this is not an interval (got -1 years)"),
        ({"interval": "12"}, "this is not an interval (got 12)"),
        ({"interval": '"2 weeks"'}, "this is not an interval (got 2 weeks)"),
        ({"convention": '"about"'}, "unknown convention (got about); convention is one of anniversary, end-of-month, end-of-year, days"),
        ({"convention": '"days"'}, "convention and interval do not fit (got 1 year, days); days go with days, end-of-year with years"),
        ({"interval": '"30 days"', "convention": '"anniversary"'}, "convention and interval do not fit (got 30 days, anniversary)"),
        ({"interval": '"18 months"', "convention": '"end-of-year"'}, "convention and interval do not fit (got 18 months, end-of-year)"),
        ({"after": None, "first": None}, "the clock never starts (got neither); a clock has first or after; add the fact"),
        ({"interval": None}, "the interval is missing (got after without interval); a clock that is restarted says its interval"),
        ({"first": '[{ since = "manufactured" }]'}, "wrong key (got since); the keys here are convention, from, interval"),
        ({"first": '[{ from = "birth", interval = "1 year" }]'}, "unknown fact (got birth)"),
        ({"first": '[{ from = "manufactured" }]'}, "this is not an interval (got None)"),
        (
            {"first": '[{ from = "manufactured", interval = "1 year", within = "long", within_of = "manufactured" }]'},
            "this is not an interval (got long)",
        ),
        ({"tolerance_months": '"one"'}, "tolerance_months is not a whole number of months (got one)"),
        ({"tolerance_months": "1", "convention": '"end-of-year"'}, "a tolerance does not fit the convention (got 1, end-of-year)"),
        (
            {"first": '[{ from = "sold-and-tagged", interval = "1 year", within = "2 years" }]'},
            "within and within_of go together (got one of them)",
        ),
        (
            {"first": '[{ from = "manufactured", interval = "1 year", year_only_next_january = "no" }]'},
            "year_only_next_january is neither true nor false (got no)",
        ),
    ],
)
def test_a_wrong_provision_is_refused(tmp_path: Path, changes: dict[str, str | None], words: str) -> None:
    refused = refusal(tmp_path, provision(**changes))
    assert words in str(refused)
    assert refused.do


@pytest.mark.parametrize(
    ("applies", "words"),
    [
        ('agent = ["custard"]', "unknown agent (got custard); agent is one of abc, sodium-bicarbonate"),
        ('shell = ["wood"]', "unknown shell (got wood); shell is one of mild-steel"),
        ("wheeled = [true]", "unknown wheeled (got True); wheeled is one of yes, no"),
        ('expelled_by = ["all-foam"]', "unknown expelled by (got all-foam)"),
        ('weight = ["10 lb"]', "wrong key (got weight); the keys here are agent, expelled_by"),
    ],
)
def test_a_wrong_application_is_refused(tmp_path: Path, applies: str, words: str) -> None:
    assert words in str(refusal(tmp_path, provision(applies)))


def test_a_provision_without_id_is_refused(tmp_path: Path) -> None:
    assert "trial/clocks.toml, provision without id: id is missing" in str(refusal(tmp_path, provision(id=None)))


def test_a_day_that_is_not_in_the_calendar_is_refused(tmp_path: Path) -> None:
    words = str(refusal(tmp_path, provision(in_force_from="2026-02-30")))
    assert words.startswith("clocks.toml: not readable as TOML")
    assert "dates must be in the calendar" in words


def test_a_pack_without_edition_is_refused(tmp_path: Path) -> None:
    words = str(refusal(tmp_path, provision(), head=HEAD.split("[[edition]]", maxsplit=1)[0]))
    assert "trial/pack.toml: no edition (got none); a pack lists the editions it holds, newest last; add an [[edition]]" in words


def test_a_wrong_key_of_the_pack_is_refused(tmp_path: Path) -> None:
    assert "trial/pack.toml: wrong key (got colour)" in str(refusal(tmp_path, head=f'colour = "red"\n{HEAD}'))


def test_a_pack_without_document_is_refused(tmp_path: Path) -> None:
    words = str(refusal(tmp_path, head=HEAD.replace('document = "Trial rules"\n', "")))
    assert "document is missing or is no text (got None)" in words


def test_a_note_that_is_no_list_is_refused(tmp_path: Path) -> None:
    words = str(refusal(tmp_path, head=f'note = "one"\n{HEAD}'))
    assert "trial/pack.toml: note is no list of texts (got one)" in words


def test_a_wrong_table_in_a_file_of_provisions_is_refused(tmp_path: Path) -> None:
    assert "trial/clocks.toml: wrong key (got rule); the keys here are provision" in str(refusal(tmp_path, '[[rule]]\nid = "x"'))


def test_a_folder_without_pack_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    with pytest.raises(Refusal) as caught:
        load_pack(tmp_path / "empty")
    assert "pack.toml: the file is not there" in str(caught.value)


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], "no rule pack is chosen (got none); a shop chooses the documents that it works by; say --packs"),
        ([""], "no rule pack is chosen"),
        (["us-oshaa"], "no such rule pack (got us-oshaa); a pack is one of au, gb, imo, us-ca, us-dot, us-nfpa10, us-osha"),
        (
            ["us-nfpa10@2011"],
            "us-nfpa10 holds no such edition (got 2011); the editions held are 2007, 2010, 2013, 2018, 2022; choose one, as in",
        ),
        (["gb", "gb"], "a pack is named twice (got gb); each pack is chosen once, at one edition"),
        (["us-nfpa10", "us-nfpa10@2010"], "a pack is named twice (got us-nfpa10@2010)"),
    ],
)
def test_a_wrong_choice_of_packs_is_refused(names: list[str], words: str) -> None:
    with pytest.raises(Refusal) as caught:
        choose_packs(names)
    assert words in str(caught.value)


def test_packs_are_chosen_in_the_order_given_at_the_newest_edition() -> None:
    chosen = choose_packs([" us-osha", "us-nfpa10@2010", "gb "])
    assert [(c.pack.id, c.edition) for c in chosen] == [("us-osha", "2026-01-01"), ("us-nfpa10", "2010"), ("gb", "2009")]


def test_a_clock_that_would_never_be_asked_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="a clock that is never asked"):
        load_pack(write_pack(tmp_path, provision(effect='"gap"')))


def test_a_table_where_a_list_of_tables_belongs_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="first is no list of tables"):
        load_pack(write_pack(tmp_path, provision(first='{ from = "manufactured", interval = "1 year" }')))

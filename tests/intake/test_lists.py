"""Small nasty lists: layouts that owners use, read from the headings to the units."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.intake.lists import facts, read

from pinseal.service.listed import state_of

PLAIN_CELLS = {
    "id": "A-1", "serial": "0099", "site": "North", "place": "Hall", "agent": "co2", "expelled by": "self-expelling", "shell": "aluminium",
    "wheeled": "yes", "size": "10 lb", "rating": "10BC", "rechargeable": "no", "cylinder specification": "3AL1800", "service pressure": "",
    "water capacity": "40 lb", "hose": "shut-off", "manufactured": "2014-06", "placed in service": "2014-07-01",
    "sold and tagged": "2014-06-30",
    "last inspection": "2025-10-01", "last maintenance": "2025-05-03", "last internal examination": "2020-06",
    "last hydrostatic test": "2019",
    "test method": "water-jacket", "last recharge": "2019-02-03", "recharge opened": "yes", "last hose test": "2024-01",
    "last conductivity test": "2025-05-03", "last agent renewal": "2023", "last expellant cylinder test": "2022-06",
}  # fmt: skip
PLAIN = f"{','.join(PLAIN_CELLS)}\n{','.join(PLAIN_CELLS.values())}\n"


def test_the_plain_headings_are_read_with_no_question(tmp_path: Path) -> None:
    register = read(tmp_path, PLAIN)
    assert register.questions == ()
    assert register.problems == ()
    assert facts(register.units[0]) == {
        "id": "A-1", "serial": "0099", "site": "North", "place": "Hall", "agent": "co2", "expelled_by": "self-expelling",
        "shell": "aluminium",
        "wheeled": True, "size": {"value": 10, "unit": "lb"}, "rating": "10BC", "rechargeable": False, "cylinder_specification": "3AL1800",
        "water_capacity": {"value": 40, "unit": "lb"}, "hose": "shut-off", "manufactured": "2014-06", "placed_in_service": "2014-07-01",
        "sold_and_tagged": "2014-06-30", "last_inspection": "2025-10-01", "last_maintenance": "2025-05-03",
        "last_internal_examination": "2020-06",
        "last_hydrostatic_test": "2019", "test_method": "water-jacket", "last_recharge": "2019-02-03", "recharge_opened": True,
        "last_hose_test": "2024-01", "last_conductivity_test": "2025-05-03", "last_agent_renewal": "2023",
        "last_expellant_cylinder_test": "2022-06",
    }  # fmt: skip


def test_the_plain_headings_of_the_bench_are_read_as_typed(tmp_path: Path) -> None:
    cells = {
        "id": "A-1", "gross weight": "29 lb 6 oz", "gross weight low": "28 lb", "gross weight high": "30 lb", "empty weight": "9.1 kg",
        "test pressure": "14.4 bar abs", "gauge low": "180 psi", "gauge high": "210 psi", "charging gas": "Nitrogen",
        "cartridge weight": "17 oz", "cartridge weight low": "16 oz", "expellant pressure": "1800 psi", "regulator pressure": "250 psi",
    }  # fmt: skip
    register = read(tmp_path, f"{','.join(cells)},agent\n{','.join(cells.values())},abc\nA-2{',' * 13}co2\n")
    assert (register.questions, register.problems) == ((), ())
    said = {name.replace(" ", "_"): text for name, text in cells.items() if name != "id"} | {"charging_gas": "nitrogen"}
    assert register.units[0].more == said
    assert register.units[1].more is None
    plate = state_of(register.units[0]).nameplate
    assert {name: getattr(plate, name) for name in said} == said
    assert plate.size is None


def test_a_weight_or_a_gas_of_the_bench_that_cannot_be_read_is_a_problem(tmp_path: Path) -> None:
    register = read(tmp_path, "id,agent,gross weight,test pressure,charging gas\n1,abc,heavy,600,oxygen\n2,abc,9 kg,-,none\n")
    assert [(problem.kind, problem.raw) for problem in register.problems] == [
        ("unreadable", "heavy"),
        ("unreadable", "600"),
        ("unreadable", "oxygen"),
    ]
    assert [unit.more for unit in register.units] == [None, {"gross_weight": "9 kg"}]


def test_cards_of_several_lines_become_units(tmp_path: Path) -> None:
    text = (
        "Cards - Holt barn\n,\nTag:,H-1\nType:,10# ABC\nMade:,6/14\nServiced:,3/21/2024\n,\nTag:,H-2\nType:,CO2 "
        "15#\nHydro:,8/21\nServiced:,3/22/2024\n"
    )
    register = read(tmp_path, text)
    assert [(unit.row, unit.id, unit.agent, str(unit.last_maintenance)) for unit in register.units] == [
        (3, "H-1", "abc", "2024-03-21"),
        (8, "H-2", "co2", "2024-03-22"),
    ]
    assert str(register.units[1].last_hydrostatic_test) == "2021-08"
    assert register.units[0].site == "Holt barn"


def test_cards_with_label_and_value_in_one_cell(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag: 1\nType: 5# ABC\nMade: 2014\n\nTag: 2\nType: 10# ABC\nMade: 2015\n")
    assert [(unit.id, unit.agent, str(unit.manufactured)) for unit in register.units] == [("1", "abc", "2014"), ("2", "abc", "2015")]


def test_stacked_tables_each_have_their_own_columns_and_site(tmp_path: Path) -> None:
    text = (
        "NORTH DEPOT\nTag,Type,Made,Annual\n1,5# ABC,2014,3/21/2024\n\n"
        "SOUTH DEPOT\nTag,Location,Type,Annual,Hydro\n11,Gate,CO2 10#,3/22/2024,2021\n12,Hall,5# ABC,3/22/2024,\n"
    )
    register = read(tmp_path, text)
    assert [(unit.id, unit.site, unit.place) for unit in register.units] == [
        ("1", "NORTH DEPOT", None),
        ("11", "SOUTH DEPOT", "Gate"),
        ("12", "SOUTH DEPOT", "Hall"),
    ]
    assert [(other.row, other.kind) for other in register.not_units] == [
        (1, "title"),
        (2, "header"),
        (4, "blank"),
        (5, "section"),
        (6, "header"),
    ]


def test_a_repeated_heading_row_is_a_header_and_no_unit(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Type,Made\n1,5# ABC,2014\nTag,Type,Made\n2,5# ABC,2015\n")
    assert [unit.id for unit in register.units] == ["1", "2"]
    assert [(other.row, other.kind) for other in register.not_units] == [(1, "header"), (3, "header")]


def test_years_as_headings_take_their_duty_from_the_heading_above(tmp_path: Path) -> None:
    register = read(tmp_path, ",,,Serviced,,\nNo,Location,Type,2021,2022,2023\n1,Hall,ABC 6kg,x,x,\n2,Office,CO2 2kg,,x,14/03/2023\n")
    assert [str(unit.last_maintenance) for unit in register.units] == ["2022", "2023-03-14"]
    assert register.questions == ()


def test_years_as_headings_with_no_duty_are_asked_about_once(tmp_path: Path) -> None:
    text = "No,Location,Type,2021,2022\n1,Hall,ABC 6kg,x,x\n2,Office,CO2 2kg,x,\n"
    register = read(tmp_path, text)
    assert [(question.id, question.rows) for question in register.questions] == [("year-columns", (2, 3))]
    assert [unit.last_maintenance for unit in register.units] == [None, None]
    answered = read(tmp_path, text, answers={"year-columns": "last_maintenance"})
    assert [str(unit.last_maintenance) for unit in answered.units] == ["2022", "2021"]


def test_a_heading_over_two_lines_is_one_heading(tmp_path: Path) -> None:
    cell = read(tmp_path, 'Nr.;Typ;Baujahr;"Druck-\nprüfung"\n1;ABC-Pulver 6 kg;2014;2019\n')
    rows = read(tmp_path, "Nr.;Typ;Bau-;letzte\n;;jahr;Wartung\n1;ABC-Pulver 6 kg;2014;13.04.2023\n")
    assert str(cell.units[0].last_hydrostatic_test) == "2019"
    assert (str(rows.units[0].manufactured), str(rows.units[0].last_maintenance)) == ("2014", "2023-04-13")
    assert [(other.row, other.kind) for other in rows.not_units] == [(1, "header"), (2, "header")]


SPANISH = (
    "Nº;Nº serie;Nave;Ubicación;Agente y carga;Eficacia;Fabricado;Última revisión;Último retimbrado;Próximo retimbrado;Observaciones\n"
    "01;0071;Nave 1;puerta;Polvo ABC 6 kg;27A 183B C;2018;25/02/2024;;2028;\n"
)
ITALIAN = (
    "N.;Matricola;Reparto;Posizione;Tipo;Carica;Classe;Anno;Ultimo controllo;Revisione;Collaudo;Scadenza;Note\n"
    "01;0071;Filatura;ingresso;Polvere ABC;6 kg;34A 233B C;2018;25/02/2024;03/2022;2020;08/2024;\n"
)
GERMAN = (
    "Lfd. Nr.;Inventar-Nr.;Herstell-Nr.;Gebäude;Standort;Löschmittel;Füllmenge;Baujahr;letzte Wartung;Druckprüfung;nächste "
    "Prüfung;Bemerkung\n"
    "1;01;0071;Werk 1;Tor;ABC-Pulver;6 kg;2018;02.03.2024;2020;03/2026;\n"
)
FRENCH = (
    "N°\tN° de série\tBâtiment\tEmplacement\tAgent\tCapacité\tAnnée\tDernière vérification\tÉpreuve hydraulique\tProchaine échéance\n"
    "01\t0071\tBât. A\thall\tPoudre ABC\t6 kg\t2018\t25/02/2024\t2020\t02/2025\n"
)


@pytest.mark.parametrize("text", [SPANISH, ITALIAN, GERMAN, FRENCH], ids=["es", "it", "de", "fr"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_headings_of_other_languages_in_any_encoding(tmp_path: Path, text: str, encoding: str) -> None:
    unit = read(tmp_path, text, encoding=encoding).units[0]
    assert (unit.id, unit.serial, unit.agent, str(unit.size), str(unit.manufactured)) == ("01", "0071", "abc", "6 kg", "2018")
    assert unit.last_maintenance is not None
    assert unit.last_maintenance.day is not None
    assert unit.last_inspection is None


def test_a_next_due_column_gives_no_work_done_and_is_said_once(tmp_path: Path) -> None:
    register = read(tmp_path, SPANISH)
    assert [problem.kind for problem in register.problems] == ["next-due-column"]
    assert register.units[0].last_hydrostatic_test is None
    assert register.units[0].raw["next last_hydrostatic_test"] == "2028"


def test_revisione_alone_is_asked_about(tmp_path: Path) -> None:
    register = read(tmp_path, "N.;Posizione;Tipo;Revisione\n1;ingresso;Polvere ABC 6 kg;03/2022\n2;atrio;Polvere ABC 6 kg;04/2022\n")
    assert [question.id for question in register.questions] == ["column-revisione"]
    assert register.units[0].last_maintenance is None


def test_dates_under_a_heading_that_says_nothing_are_asked_about(tmp_path: Path) -> None:
    text = "Tag,Type,Date\n1,5# ABC,3/21/2024\n2,5# ABC,3/22/2024\n"
    register = read(tmp_path, text)
    assert [question.id for question in register.questions] == ["column-date"]
    answered = read(tmp_path, text, answers={"column-date": "last_maintenance"})
    assert str(answered.units[0].last_maintenance) == "2024-03-21"


def test_a_column_that_contradicts_itself_is_asked_about_by_itself(tmp_path: Path) -> None:
    rows = "1;Hall;14/06/2023\n2;Gate;25/06/2023\n3;Yard;06/14/2023\n4;Shed;05/06/2023\n"
    register = read(tmp_path, "Tag;Location;Serviced\n" + rows)
    assert register.date_order == "mixed"
    assert [str(unit.last_maintenance) for unit in register.units] == ["2023-06-14", "2023-06-25", "2023-06-14", "2023"]
    assert [question.rows for question in register.questions] == [(5,)]
    answered = read(tmp_path, "Tag;Location;Serviced\n" + rows, answers={register.questions[0].id: "DMY"})
    assert str(answered.units[3].last_maintenance) == "2023-06-05"


def test_dots_under_german_headings_are_day_first(tmp_path: Path) -> None:
    register = read(tmp_path, "Nr.;Gerät;Standort;letzte Prüfung\n1;ABC-Pulver 6 kg;Tor;03.04.2023\n")
    assert register.date_order == "DMY"
    assert str(register.units[0].last_maintenance) == "2023-04-03"


def test_a_quantity_column_makes_count_rows(tmp_path: Path) -> None:
    register = read(tmp_path, "Building,Type,Size,Qty\nDepot,ABC,5 lb,7\nDepot,CO2,10 lb,1\nAnnex,K,6 L,6-8\n")
    assert [unit.row for unit in register.units] == [3]
    counts = [problem for problem in register.problems if problem.kind == "count-row"]
    assert [(count.row, count.count, count.site) for count in counts] == [(2, 7, "Depot"), (4, None, "Annex")]
    assert [question.readings for question in register.questions] == [("6", "7", "8")]


def test_an_open_count_is_settled_by_an_answer(tmp_path: Path) -> None:
    text = "Building,Extinguishers,Made\nAnnex,6-8 5# ABC,\nAnnex,5# ABC,2014\n"
    register = read(tmp_path, text)
    answered = read(tmp_path, text, answers={register.questions[0].id: "7"})
    assert [problem.count for problem in answered.problems if problem.kind == "count-row"] == [7]


def test_floors_are_places_and_not_sites(tmp_path: Path) -> None:
    register = read(tmp_path, "Mill house\nTag,Room,Type\n1st floor,,\n1,Hall,5# ABC\n2nd floor,,\n2,Office,5# ABC\n")
    assert [(unit.site, unit.place) for unit in register.units] == [("Mill house", "1st floor, Hall"), ("Mill house", "2nd floor, Office")]


def test_ids_that_start_again_at_each_site_are_no_duplicates(tmp_path: Path) -> None:
    register = read(tmp_path, "Site,Tag,Type\nA,1,5# ABC\nA,2,5# ABC\nB,1,5# ABC\nB,2,5# ABC\nB,2,5# ABC\n")
    assert [(problem.row, problem.kind) for problem in register.problems] == [(5, "duplicate-id"), (6, "duplicate-id")]


def test_work_before_the_unit_was_made_and_dates_to_come_are_said(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Type,Made,Hydro\n1,5# ABC,2018,2010\n2,5# ABC,2041,\n3,5# ABC,2018,2024\n")
    assert [(problem.row, problem.kind) for problem in register.problems] == [(2, "order"), (3, "future-date")]
    assert str(register.units[0].last_hydrostatic_test) == "2010"


def test_a_subtotal_that_disagrees_is_said(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Type,Made\n1,5# ABC,2014\n2,5# ABC,2014\nTotal: 3,,\n")
    assert [(problem.row, problem.kind) for problem in register.problems] == [(4, "count-mismatch")]
    assert [problem.kind for problem in read(tmp_path, "Tag,Type,Made\n1,5# ABC,2014\n2,5# ABC,2014\nTotal: 2,,\n").problems] == []


def test_remarks_give_what_was_done_but_not_what_is_due(tmp_path: Path) -> None:
    text = (
        "Tag,Type,Made,Notes\n1,5# ABC,2014,recharged 2/19 after a fire\n2,5# ABC,2014,hydro due 6/26\n3,5# ABC,2014,scrapped "
        "2020\n4,50# ABC,2014,on wheels\n"
    )
    register = read(tmp_path, text)
    assert [str(unit.last_recharge) for unit in register.units] == ["2019-02", "None", "None", "None"]
    assert all(unit.last_hydrostatic_test is None for unit in register.units)
    assert [(problem.row, problem.kind) for problem in register.problems] == [(4, "removed")]
    assert register.units[3].wheeled is True


def test_ditto_marks_take_the_cell_above(tmp_path: Path) -> None:
    register = read(tmp_path, 'Tag,Where,Type,Serviced\n1,Hall,5# ABC,3/21/2024\n2,"""",do.,ditto\n')
    assert facts(register.units[1]) == facts(register.units[0]) | {"id": "2"}
    assert register.units[1].raw["place"] == '"'


def test_the_raw_cell_stays_beside_what_was_read(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Type,Made,Colour\n1,5# ABC,'14,red\n")
    assert register.raw(None, 2) == {"id": "1", "agent": "5# ABC", "manufactured": "'14", "Colour": "red"}
    assert register.as_json()["units"][0]["raw"]["manufactured"] == "'14"  # type: ignore[index]
    assert register.raw(None, 99) == {}


def test_litres_are_shown_as_lists_write_them(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Type,Size\n1,K,6 L\n")
    assert register.as_json()["units"][0]["size"] == {"value": 6, "unit": "L"}  # type: ignore[index]


def test_units_on_two_rows_each_under_two_rows_of_headings(tmp_path: Path) -> None:
    text = "Tag;Type;Location\nSerial;Made;Serviced\n1;5# ABC;Hall\nSN1;2014;3/21/2024\n2;10# ABC;Gate\nSN2;2015;3/22/2024\n"
    register = read(tmp_path, text)
    assert [(unit.row, unit.id, unit.serial, unit.place, str(unit.last_maintenance)) for unit in register.units] == [
        (3, "1", "SN1", "Hall", "2024-03-21"),
        (5, "2", "SN2", "Gate", "2024-03-22"),
    ]
    assert {other.row for other in register.not_units} == {1, 2, 4, 6}


def test_a_site_named_once_for_its_group_is_filled_down_and_that_is_said(tmp_path: Path) -> None:
    register = read(tmp_path, "Building,Tag,Type\nMill,1,5# ABC\n,2,5# ABC\n,3,5# ABC\nDepot,4,5# ABC\n,5,5# ABC\n")
    assert [unit.site for unit in register.units] == ["Mill", "Mill", "Mill", "Depot", "Depot"]
    assert [problem.kind for problem in register.problems] == ["filled-down"]


def test_mere_ticks_are_no_dates_and_that_is_said_once(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Type,Monthly\n1,5# ABC,x\n2,5# ABC,ok\n")
    assert [(problem.row, problem.column, problem.kind) for problem in register.problems] == [(1, "Monthly", "no-dates")]
    assert register.units[0].last_inspection is None
    assert register.raw(None, 2)["Monthly"] == "x"


def test_a_column_under_an_unknown_heading_whose_cells_name_agents(tmp_path: Path) -> None:
    register = read(tmp_path, "Tag,Widget,Made\n1,5# ABC,2014\n2,CO2 10#,2014\n")
    assert [unit.agent for unit in register.units] == ["abc", "co2"]
    assert [(problem.column, problem.kind) for problem in register.problems] == [("Widget", "heading-read-as")]


def test_a_heading_that_names_two_units_serves_masses_and_liquids(tmp_path: Path) -> None:
    register = read(tmp_path, "Nr;Löscherart;Inhalt (kg/l)\n1;ABC-Pulver;6\n2;Wasser;9\n")
    assert [str(unit.size) for unit in register.units] == ["6 kg", "9 l"]


def test_prose_in_a_cell_is_kept_and_not_picked_apart(tmp_path: Path) -> None:
    prose = "(" + "lorem ipsum " * 9000
    register = read(tmp_path, f"Tag,Type,Made,Notes\n1,5# ABC,2014,{prose}\n2,{prose},{prose},\n{prose},,,\n")
    assert [(unit.row, unit.agent) for unit in register.units] == [(2, "abc"), (3, None)]
    assert register.units[0].notes == prose.strip()
    assert [(problem.row, problem.kind) for problem in register.problems] == [(3, "unreadable"), (3, "unreadable")]
    assert [(other.row, other.kind) for other in register.not_units] == [(1, "header"), (4, "note")]


def test_a_kind_that_nobody_knows_is_a_problem_and_no_silence(tmp_path: Path) -> None:
    register = read(tmp_path, "id,place,type,made\n1,hall,flurb 4 kg,2015\n2,gate,ABC 5 lb,2016\n3,yard,10 lb,2017\n")
    assert [(p.row, p.kind, p.raw) for p in register.problems] == [(2, "unreadable", "flurb 4 kg")]
    assert [unit.agent for unit in register.units] == [None, "abc", None]

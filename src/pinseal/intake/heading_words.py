"""The words of headings. Families in English, Spanish, Italian, German and French (`common practice, no source`)."""

from __future__ import annotations

# The plain headings: read with no question, in these words exactly.
PLAIN_FIELDS = (
    "id", "serial", "site", "place", "agent", "expelled_by", "shell", "wheeled", "size", "rating", "rechargeable", "cylinder_specification",
    "service_pressure", "water_capacity", "hose", "manufactured", "placed_in_service", "sold_and_tagged", "last_inspection",
    "last_maintenance",
    "last_internal_examination", "last_hydrostatic_test", "test_method", "last_recharge", "recharge_opened", "last_hose_test",
    "last_conductivity_test", "last_agent_renewal", "last_expellant_cylinder_test", "model", "lot",
)  # fmt: skip
# More facts of the nameplate, under these words exactly: masses, pressures, and the gas that drives it.
WEIGHT_FIELDS = (
    "gross_weight", "gross_weight_low", "gross_weight_high", "empty_weight", "cartridge_weight", "cartridge_weight_low",
)  # fmt: skip
PRESSURE_FIELDS = ("test_pressure", "gauge_low", "gauge_high", "expellant_pressure", "regulator_pressure")
MORE_FIELDS = (*WEIGHT_FIELDS, *PRESSURE_FIELDS, "charging_gas")
EXACT = {field.replace("_", " "): field for field in (*PLAIN_FIELDS, *MORE_FIELDS)}
EXACT |= {
    "notes": "notes",
    "count": "count",
    "status": "status",
}

DATE_FIELDS = (
    "manufactured", "placed_in_service", "sold_and_tagged", "last_inspection", "last_maintenance", "last_internal_examination",
    "last_hydrostatic_test", "last_recharge", "last_hose_test", "last_conductivity_test", "last_agent_renewal",
    "last_expellant_cylinder_test",
)  # fmt: skip

# Words that say a date is still to come.
DUE_WORDS = (
    "next", "due", "expires", "expiry", "expiration", "exp date", "valid until", "good until", "valid to", "vence", "vencimiento", "vto",
    "caduca",
    "caducidad", "proxima", "proximo", "prox", "prossima", "prossimo", "pross", "scadenza", "scad", "nachste", "nachster", "nachstes",
    "nachste*",
    "naechste*", "fallig", "fallig*", "faellig*", "gultig*", "gueltig*", "bis", "prochain", "prochaine", "proch", "echeance", "validite",
    "valable",
    "a revoir", "hasta",
)  # fmt: skip

STRONG = {
    "last_hose_test": "hose test, hose tested, hose hydro, hose ht, prueba de manguera, schlauchprufung, prova manichetta, essai flexible",
    "last_conductivity_test": "conductivity test, conductivity, conductividad, leitfahigkeit*, conducibilita, conductivite",
    "last_agent_renewal": "agent renewal, agent renewed, agent changed, agent replaced, agent change, cambio de agente, cambio agente, "
    "loschmittelwechsel, loschmitteltausch, sostituzione estinguente, renouvellement agent, foam changed, foam change",
    "last_expellant_cylinder_test": "expellant cylinder test, expellant cylinder, cartridge test, propellant cylinder test, gas "
    "cylinder test, "
    "treibgasflasche, treibmittelflasche",
    "test_method": "test method, method of test, kind of test",
    "recharge_opened": "recharge opened, opened for recharge, opened at recharge",
    "last_hydrostatic_test": "hydro*, ht, h t, htest, h test, pressure test, pressure tested, press test, proof test, retest, "
    "retested, retest date, "
    "requal*, retimb*, timbrado, prueba hidr*, prueba de presion, prueba presion, ph, p h, collaud*, druckprufung, druckpruf*, druckprobe, "
    "festigkeitsprufung, wiederholungsprufung, behalterprufung, tuv, epreuve*, reepreuve*, prova idraulica, prova pressione, shell test, "
    "cylinder test, flaschenprufung, last ht",
    "last_internal_examination": "six year, six yr, six yearly, 6 year, 6 yr, 6yr, 6 yearly, 6 years, 6y, 6 y, sixyear, internal, "
    "internal exam*, "
    "internal maintenance, int exam, teardown, tear down, opened, opened up, opened on, strip down, stripdown, revision interna, "
    "examen interno, inspeccion interna, abierto, innenprufung, innere prufung, revisione, inneres, innen, geoffnet, revisione "
    "interna, esame "
    "interno, "
    "revision interne, examen interne, verification interne, extended service, ext service, extended",
    "last_recharge": "recharge*, refill*, refilled, last fill, last filled, filled, recarga*, relleno, ricarica*, nachfullung, neufullung, "
    "letzte fullung, wiederfullung, gefullt, fullung am, rechargement, recharge le, fulldatum",
    "sold_and_tagged": "sold and tagged, date sold, sold, vendido, verkauft, venduto, vendu",
    "placed_in_service": "placed in service, in service, in service date, in service since, service since, put in service, installed, "
    "install date, "
    "installation date, instalado, instalacion, puesta en servicio, in betrieb*, inbetriebnahme, installato, installazione, messa in "
    "servizio, "
    "mise en service, installe, commissioned, purchased, bought, compra",
    "manufactured": "manufactured, manufacture, manufacture date, date of manufacture, date manufactured, mfg, mfg date, mfgd, mfd, "
    "mfr date, "
    "date of mfr, man date, dom, made, date made, born, born on, built, year made, year built, year, yr made, fabricacion, fecha fab, fab, "
    "fabricado, ano fab, ano fabricacion, ano, ano de fabricacion, f fab, f fabricacion, anno, anno fab, anno costruzione, costruzione, "
    "fabbricazione, fabbricato, anno di fabbricazione, baujahr, bj, herstellung, herstelljahr, herstellungsjahr, herstellungsdatum, "
    "hergestellt, "
    "herst jahr, jahr, gebaut, annee, annee fab, fabrication, annee de fabrication, fabrique, date fab, vintage, age",
    "last_maintenance": "annual inspection, annual insp, annual check, annual exam, annual test, yearly inspection, yearly check, "
    "annual, annuals, annual*, yearly, yrly, serviced, last service, last serviced, service date, service, servicing, "
    "last svc, svc, svc date, maintenance, maint, maintained, maint date, last maint, tag date, tagged, basic service, mantenimiento, "
    "mant, ultimo mantenimiento, revision, ult revision, ultima revision, rev, ult rev, ultima rev, revision anual, revisado, wartung, "
    "letzte wartung, gewartet, prufung, letzte prufung, gepruft, gepruft am, prufdatum, letzte pruf, instandhaltung, uberprufung, "
    "sachkundigenprufung, "
    "manutenzione, ultima manutenzione, controllo, ultimo controllo, controllo semestrale, verification, verif, verifie, verifie le, "
    "derniere verification, derniere verif, verification annuelle, entretien, dernier entretien, maintenance annuelle, jahresprufung",
    "last_inspection": "inspected, inspection, insp, last insp, last inspection, monthly, monthly check, mo check, mo chk, mthly, "
    "month check, checked, "
    "last checked, check, last check, looked at, last looked, last seen, seen, quick check, visual, visual check, walk, walk round, "
    "inspeccion, inspeccion trimestral, trimestral, ult inspeccion, comprobacion, comprobado, mirado, sichtprufung, sichtkontrolle, "
    "begehung, "
    "kontrolle, letzte kontrolle, sorveglianza, ispezione, ultima ispezione, visto, surveillance, controle, dernier controle, controle "
    "visuel, "
    "inspecte, eigenkontrolle",
    "serial": "serial, serial no, serial number, ser, ser no, serial nr, s n, sn, s no, sno, cylinder no, cylinder number, bottle no, "
    "no de serie, "
    "numero de serie, no serie, num serie, n serie, nserie, serie, matricula, matricola, no fabricacion, numero fabricacion, "
    "no de fabricacion, n fabricacion, fabrik nr, fabriknr, fabriknummer, fabr nr, fabrikationsnummer, fabrikations nr, herstellnummer, "
    "hersteller nr, herstell nr, herst nr, serien nr, seriennummer, seriennr, ser nr, flaschennummer, flaschen nr, behalter nr, "
    "behalternummer, "
    "numero de fabrication, no de fabrication, no fabrication, numero di serie, no di serie, shell no, shell number, makers no, maker s no",
    "id": "tag, tag no, tag number, asset, asset no, asset id, asset tag, asset number, barcode, bar code, unit no, unit id, unit "
    "number, ext no, "
    "ext id, extinguisher no, extinguisher id, extinguisher number, inventory no, inventory, inv no, ident, ident no, id no, code, "
    "codigo, cod, "
    "codice, inventario, no inventario, placa, etiqueta, inventar nr, inventarnummer, inventarnr, inv nr, invnr, loscher nr, loschernr, "
    "loscher no, gerate nr, geratenr, geratenummer, kennung, kenn nr, kennzeichen, feuerloscher nr, no extintor, n extintor, num extintor, "
    "numero extintor, estintore n, no estintore, n estintore, numero d inventaire, no inventaire, repere, no extincteur, etiquette, "
    "our no, "
    "owner no, label, label no, bottle, brass tag, disc no, disc",
    "running": "lfd nr, lfdnr, lfd, laufende nr, lfd no, line, line no, row no, item, item no, seq, sequence, running no, pos, pos nr, "
    "position nr, "
    "orden, no orden, progr, progressivo, n ordre, no ordre, ordre",
    "count": "qty, quantity, how many, cant, cantidad, uds, unidades, stuck, stk, anzahl, menge stuck, quantita, pezzi, n pezzi, "
    "quantite, qte, "
    "nombre, no of, number of, no units, units, pcs, pieces, howmany",
    "site": "site, building, bldg, bldg no, facility, campus, property, premises, school, branch, store, plant, edificio, edif, nave, "
    "centro, sede, "
    "fabrica, local comercial, stabilimento, fabbricato nome, gebaude, gebaeude, halle, werk, liegenschaft, haus, filiale, niederlassung, "
    "batiment, bat, etablissement, site nom, usine, address, works, mill",
    "place": "place, location, loc, where, room, rm, floor, flr, level, area, zone, spot, hook, position, dept, department, bay, "
    "station, unit location, "
    "ubicacion, ubic, lugar, zona, piso, planta, sala, seccion, puesto, situacion, emplazamiento, departamento, dependencia, "
    "ubicazione, posizione, "
    "luogo, reparto, piano, locale, zona rep, standort, ort, raum, etage, geschoss, stockwerk, bereich, platz, abteilung, aufstellort, "
    "aufstellungsort, emplacement, lieu, niveau, local, piece, salle, endroit, service dept, secteur, atelier, vehicle, truck, "
    "corridor, wing, pod",
    "expelled_by": "expelled by, expelled, pressure type, pressurised by, pressurized by, pressurisation, pressurization, propellant, "
    "expellant, driven by, "
    "operation, operated, press type, stored or cartridge, tipo de presion, tipo presion, presion, impulsion, sistema de presion, "
    "pressurizzazione, "
    "propellente, treibmittel, druckart, antrieb, treibgas, dauerdruck, druck, pression, mode de pression, press, pressure, how driven",
    "shell": "shell, shell material, cylinder material, body, body material, material, metal, cuerpo, casco, corpo, involucro, "
    "behalter, behaltermaterial, werkstoff, mantel, corps, materiau, enveloppe, matiere, vessel",
    "wheeled": "wheeled, whl, whld, wheels, on wheels, wheel, cart y n, ruedas, rodante, carro, sobre ruedas, carrellato, carrellati, "
    "ruote, fahrbar, rader, "
    "roues, sur roues, mobile, trolley, portable, portable or wheeled, hand or wheeled, p w",
    "rating": "rating, ratings, ul rating, fire rating, u l rating, eficacia, capacidad extintora, classe di fuoco, capacita estinguente, "
    "loschvermogen, loschleistung, brandklasse, brandklassen, leistung, foyer, foyers, fire class, rated, efficacite, potentiel extincteur",
    "size": "size, capacity, cap, lbs, lb, kg, weight, wt, charge, charge weight, agent weight, nominal, pounds, carga, capacidad, "
    "peso, kilos, tamano, "
    "contenido, carica, capacita, contenuto, fullung, fullmenge, fullgewicht, inhalt, grosse, groesse, gewicht, fullinhalt, capacite, "
    "contenance, poids, "
    "taille, volume, litres, gallons",
    "agent": "agent, extinguishing agent, medium, contents, content, fill, filled with, powder type, agente, agente extintor, "
    "estinguente, agente "
    "estinguente, loschmittel, loeschmittel, produit, agent extincteur, tipo agente, tipo de agente, sustancia, sostanza",
    "model": "model, model no, modelo, modello, modell, modele, mod, type designation",
    "maker": "make, maker, manufacturer, mfr, brand, marca, fabricante, hersteller, fabrikat, marque, fabricant, produttore, "
    "fabbricante, costruttore",
    "lot": "lot, lot no, batch, batch no, lote, charge nr, chargennummer, lotto, numero de lot",
    "rechargeable": "rechargeable, recargable, ricaricabile, nachfullbar, refillable, disposable",
    "cylinder_specification": "cylinder specification, cylinder spec, dot spec, spec, shell spec, dot, specification",
    "service_pressure": "service pressure, working pressure, charge pressure, operating pressure, presion de servicio, betriebsdruck, "
    "pressione di esercizio, pression de service",
    "water_capacity": "water capacity, water cap, wc, capacidad de agua, wasserinhalt, capacita acqua",
    "hose": "hose, manguera, schlauch, manichetta, flexible, tuyau",
    "status": "status, condition, state, cond, estado, stato, zustand, etat, result, resultado, pass, pass fail, ok",
    "notes": "notes, note, remarks, remark, comments, comment, observations, observaciones, observacion, obs, notas, nota, "
    "osservazioni, annotazioni, "
    "bemerkung, bemerkungen, anmerkung, anmerkungen, hinweis, notizen, remarque, remarques, observation, commentaire, commentaires, "
    "memo, info, other",
    "ignored": "inspected by, checked by, serviced by, tested by, maintained by, looked at by, inspector, technician, tech, signed, "
    "signature, initials, done by, by whom, phone, email, latitude, longitude, lat, "
    "lon, lng, price, cost, "
    "tecnico, firma, prufer, tecnicien, technicien, tecnica, globalid, photo, foto",
}  # fmt: skip

WEAK = {
    "id": "objectid, no, nr, num, number, numero, nummer, id, n, nos",
    "agent": "loscherart, loschertyp, gerateart, geratetyp, feuerloschertyp, loschmittelart, art des loschers, type, kind, what, "
    "extinguisher, extinguishers, description, descr, desc, equipment, unit, bottles, bottle type, class, "
    "tipo, extintor, "
    "descripcion, clase, estintore, descrizione, classe, typ, art, bauart, loscher, feuerloscher, beschreibung, gerat, klasse, "
    "extincteur, appareil, designation, genre, device, type of extinguisher",
    "rating": "class, clase, classe, klasse, ul",
    "expelled_by": "type, tipo, typ, bauart",
    "site": "customer, client, name, cliente, kunde",
    "place": "details, further location",
}

# Where several families match one heading, the lower number wins; unnamed families stand at 50 in order of phrase length.
PRIORITY = {
    "last_hose_test": 1, "last_conductivity_test": 1, "last_expellant_cylinder_test": 1, "last_agent_renewal": 1, "recharge_opened": 1,
    "test_method": 1,
    "service_pressure": 2, "water_capacity": 2, "cylinder_specification": 3, "rechargeable": 3, "count": 4,
    "serial": 5, "last_hydrostatic_test": 6, "last_internal_examination": 7, "last_recharge": 8, "sold_and_tagged": 9,
    "placed_in_service": 9,
    "ignored": 0, "running": 10, "lot": 11, "rating": 12,
}  # fmt: skip

"""Entry lists as organisers send them: their own headings, in six languages, in Excel."""

import html
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.desk.imports.entries import entries_read
from jobs.desk.imports.fields import ENTRY_FIELDS, TIMETABLE_FIELDS
from jobs.desk.imports.makes import makes_known
from jobs.garage.models import Bike
from jobs.people.models import Customer
from jobs.tables.matching import plain_heading
from jobs.tables.models import ListFormat
from jobs.trackday.models import Entry, ServicePackage, Session
from tests.days import day_build
from tests.tables.test_spreadsheets import ods, xlsx

# Headings as booking forms and entry lists show them (common practice, no source).
LISTS = {
    "en": ("Start number;First name;Last name;E-Mail;Riding group;Motorcycle;T-shirt size",
           "21;Ada;Finn;ada@example.org;Group B;Corvane 650 R;XL"),
    "de": ("Startnummer;Name;Vorname;E-Mail-Adresse;Gruppe;Motorrad;T-Shirt-Größe",
           "21;Finn;Ada;ada@example.org;Gruppe B;Corvane 650 R;XL"),
    "fr": ("N° de course;Prénom;Nom;Courriel;Groupe;Marque;Modèle;Taille",
           "21;Ada;Finn;ada@example.org;Groupe B;Corvane;650 R;XL"),
    "it": ("Numero di gara;Nome;Cognome;Indirizzo email;Turno;Marca;Modello;Taglia",
           "21;Ada;Finn;ada@example.org;B;Corvane;650 R;XL"),
    "es": ("Dorsal;Nombre;Apellidos;Correo electrónico;Tanda;Marca;Modelo;Talla",
           "21;Ada;Finn;ada@example.org;Grupo B;Corvane;650 R;XL"),
    "nl": ("Startnummer;Voornaam;Achternaam;E-mailadres;Groep;Merk;Model;Maat",
           "21;Ada;Finn;ada@example.org;Groep B;Corvane;650 R;XL"),
}  # fmt: skip


@pytest.fixture
def day(db):
    return day_build(bikes=0).trackday


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


@pytest.mark.parametrize("language", LISTS)
def test_headings_are_known_in_each_language(language):
    rows, faults, table = entries_read("\n".join(LISTS[language]))
    assert faults == []
    [row] = rows
    assert (row.number, row.name, row.email) == ("21", "Ada Finn", "ada@example.org")
    assert (row.group, row.make, row.model) == ("B", "Corvane", "650 R")
    assert len(table.matching.unused) == 1


def test_a_known_make_of_two_words_is_split_behind_it(day):
    day_build(bikes=1)
    Bike.objects.update(make="Moto Halden", model="V7")
    rows, _faults, _table = entries_read(
        "group;name;bike\nA;x;moto  halden V7 S\nA;y;Motor 6\nA;z;Moto Uno 5\nA;w;Corvane\n",
        makes=makes_known(),
    )
    assert [(row.make, row.model) for row in rows] == [
        ("moto halden", "V7 S"), ("Motor", "6"), ("Moto", "Uno 5"), ("Corvane", "Corvane"),
    ]  # fmt: skip


def test_where_a_new_make_ends_is_asked_and_the_answer_is_written(day, desk):
    """With a number behind the first word nothing is asked: makes are words."""
    package = ServicePackage.objects.get()
    text = "group;name;bike\nA;x;Moto Tarn V7\nA;y;Corvane 650 R\nA;z;Ossel Street R\n"
    url = reverse("desk:import-entries", args=[day.pk])
    page = desk.post(url, {"text": text})
    asked = re.findall(r'name="makes"\s+value="([^"]+)"', page.content.decode())
    assert asked == ["Moto Tarn", "Ossel Street"]
    assert page.context["form"]["package"].value() == str(package.pk)  # the only one there is
    answer = {"text": text, "makes": "Moto Tarn", "seen": page.context["preview"].fingerprint}
    assert desk.post(url, answer).status_code == 302
    assert [(b.make, b.model) for b in Bike.objects.order_by("pk")] == [
        ("Moto Tarn", "V7"), ("Corvane", "650 R"), ("Ossel", "Street R"),
    ]  # fmt: skip


def test_rows_without_a_package_are_one_question_where_there_are_several(day, desk):
    ServicePackage.objects.create(code="half", name="Half day")
    text = "group;name;bike\nA;x;Corvane 650 R\nA;y;Corvane 650 R\n"
    page = desk.post(reverse("desk:import-entries", args=[day.pk]), {"text": text})
    assert [fault.words for fault in page.context["preview"].faults] == [
        "2 rows name no service package: choose it below, for all of them."
    ]
    assert not page.context["columns_open"]


@pytest.mark.parametrize("fields", [ENTRY_FIELDS, TIMETABLE_FIELDS])
def test_every_heading_is_written_as_it_is_compared_and_means_one_field(fields):
    meant = {}
    for field in fields:
        for heading in field.headings:
            assert plain_heading(heading) == heading
            assert meant.setdefault(heading, field.name) == field.name


def test_a_fault_names_the_row_its_rider_and_the_files_own_heading():
    head, row = LISTS["de"]
    _rows, faults, _table = entries_read(f"{head}\n{row}\n22;Reed;Bo;bo@;Gruppe A;Halden T9;M\n")
    [fault] = faults
    assert (fault.line, fault.column, fault.about) == (3, "E-Mail-Adresse", "22 Bo Reed")


def test_only_the_columns_that_are_needed_and_not_found_are_named():
    _rows, faults, _table = entries_read("Startnummer;Vorname;Nachname;T-Shirt\n21;Ada;Finn;XL\n")
    assert [fault.column for fault in faults] == ["Run group", "Make", "Model"]


def test_countries_by_name_are_their_code():
    rows, _faults, _table = entries_read(
        "group;name;make;model;country\nA;x;C;6;Österreich\nA;y;C;6;Pays-Bas\nA;z;C;6;ie\n"
    )
    assert [row.country for row in rows] == ["AT", "NL", "IE"]


def url(day, kind="entries"):
    return reverse(f"desk:import-{kind}", args=[day.pk])


def carried(page):
    """What the page's form sends on, as a browser would."""
    text = page.content.decode()
    sent = {"book": html.unescape(re.search(r'name="book"[^>]*>(.*?)</textarea>', text, re.S)[1])}
    for name, value in re.findall(r'name="(shown|header)"[^>]*?value="([^"]*)"', text, re.S):
        sent[name] = value
    for name, options in re.findall(r'<select[^>]*?name="([\w-]+)".*?>(.*?)</select>', text, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        sent[name] = chosen[1] if chosen else ""
    if seen := re.search(r'name="seen" value="([^"]*)"', text):
        sent["seen"] = seen[1]
    return sent


HEADINGS = ["Startnummer", "Nachname", "Vorname", "E-Mail", "Gruppe", "Motorrad", "T-Shirt", "Box"]
RIDERS = [
    [21, "Finn", "Ada", "ada@example.org", "B", "Corvane 650 R", "XL", 6],
    [22, "Reed", "Bo", "bo@example.org", "A", "Halden T9", "M", 7],
]
MAKERS = {"xlsx": lambda rows: xlsx(Info=[["Welcome"]], Starter=rows), "ods": ods}


@pytest.mark.parametrize("kind", MAKERS)
def test_a_spreadsheet_of_an_organiser_is_seen_then_written_and_again_changes_nothing(
    desk, day, kind
):
    rows = [[str(cell) if kind == "ods" else cell for cell in row] for row in [HEADINGS, *RIDERS]]
    package = {"package": Entry._meta.get_field("package").related_model.objects.get().pk}
    content = MAKERS[kind](rows)
    file = SimpleUploadedFile(f"Starterliste.{kind}", content)
    shown = desk.post(url(day), {"file": file, **package})
    assert "2 new, 0 changed, 0 as they are" in shown.content.decode()
    assert "not used:" in shown.content.decode()
    assert desk.post(url(day), carried(shown)).status_code == 302
    assert set(Entry.objects.values_list("number", "rider__name", "bike__model", "bay")) == {
        ("21", "Ada Finn", "650 R", "6"), ("22", "Bo Reed", "T9", "7"),
    }  # fmt: skip
    again = desk.post(url(day), {"file": SimpleUploadedFile("again.bin", content), **package})
    assert "This file changes nothing." in again.content.decode()
    assert (
        Customer.objects.filter(
            email__endswith="@example.org", name__in=["Ada Finn", "Bo Reed"]
        ).count()
        == 2
    )


def test_what_is_chosen_is_remembered_for_the_next_list_with_these_headings(desk, day):
    content = "Kürzel;Pilotin;Fahrzeugmarke;Fahrzeugtyp\nB;Ada Finn;Corvane;650 R\n"
    shown = desk.post(url(day), {"text": content})
    assert shown.content.decode().count("No column is matched to this yet.") == 4
    chosen = carried(shown) | {"column-0": "group", "column-1": "name", "column-2": "make",
                               "column-3": "model", "package": _package()}  # fmt: skip
    seen = desk.post(url(day), chosen)
    assert "1 new" in seen.content.decode()
    assert desk.post(url(day), carried(seen)).status_code == 302
    assert ListFormat.objects.get().kind == "entries"
    turned = "Pilotin;Fahrzeugmarke;Fahrzeugtyp;Kürzel\nBo Reed;Halden;T9;A\n"
    next_one = desk.post(url(day), {"text": turned, "package": _package()}).content.decode()
    assert "1 new, 0 changed" in next_one
    assert "As in your last list with these headings." in next_one


def _package():
    return Entry._meta.get_field("package").related_model.objects.get().pk


def test_a_list_of_one_group_gets_its_group_on_the_page(desk, day):
    text = "Name;Marke;Modell\nAda Finn;Corvane;650 R\n"
    shown = desk.post(url(day), {"text": text, "group": "B", "package": _package()})
    assert desk.post(url(day), carried(shown)).status_code == 302
    assert Entry.objects.get().group.letter == "B"


def test_a_group_is_known_by_its_name(desk, day):
    day.groups.filter(letter="C").update(name="Fortgeschrittene")
    text = "Gruppe;Name;Marke;Modell\nfortgeschrittene;Ada Finn;Corvane;650 R\n"
    shown = desk.post(url(day), {"text": text, "package": _package()})
    assert desk.post(url(day), carried(shown)).status_code == 302
    assert Entry.objects.get().group.letter == "C"


def test_another_sheet_of_the_file_may_be_chosen(desk, day):
    other = [["Name", "Gruppe", "Marke", "Modell"], ["Cy Orme", "A", "Halden", "T9"]]
    content = xlsx(Starter=[HEADINGS, *RIDERS], Nachtrag=other)
    shown = desk.post(url(day), {"file": SimpleUploadedFile("l.xlsx", content)})
    sent = carried(shown)
    assert sent["sheet"] == "0"
    page = desk.post(url(day), sent | {"sheet": "1", "seen": "", "package": _package()})
    assert "Cy Orme" in page.content.decode()


def test_a_change_of_the_columns_is_shown_before_it_is_written(desk, day):
    text = "Gruppe;Name;Marke;Modell;Box;Stand\nA;Ada Finn;Corvane;650 R;6;9\n"
    shown = desk.post(url(day), {"text": text, "package": _package()})
    changed = carried(shown) | {"column-4": "note", "column-5": "bay"}
    again = desk.post(url(day), changed | {"column-1": "owner", "column-0": "name"})
    assert Entry.objects.count() == 0
    assert "stands in the way" in again.content.decode()


def test_a_timetable_in_a_spreadsheet_with_words_of_its_own(desk, day):
    Session.objects.filter(group__trackday=day).delete()
    rows = [["Gruppe", "Von", "Bis"], ["Gruppe A", "09:00", "09:20"],
            ["Mittagspause", "12:00", "13:00"], ["B", "09:20", "09:40"]]  # fmt: skip
    shown = desk.post(url(day, "timetable"), {"file": SimpleUploadedFile("z.xlsx", xlsx(Z=rows))})
    assert "2 new" in shown.content.decode()
    assert desk.post(url(day, "timetable"), carried(shown)).status_code == 302
    assert Session.objects.filter(group__trackday=day).count() == 2
    day.refresh_from_db()
    assert day.lunch_from is not None


@pytest.mark.parametrize("list_of", ["entries", "timetable"])
def test_a_column_of_no_use_that_is_empty_in_every_row_is_named(list_of, day, signed_in, office):
    rows = {
        "entries": "number,group,name,make,model,T-shirt\n7,A,Ada,Tresk,RS,\n",
        "timetable": "group,start,T-shirt\nA,10:00,\n",
    }
    address = reverse(f"desk:import-{list_of}", args=[day.pk])
    page = signed_in(office).post(address, {"text": rows[list_of]})
    shown = " ".join(page.content.decode().split())
    assert (page.status_code, "not used: T-shirt" in shown) == (200, True)

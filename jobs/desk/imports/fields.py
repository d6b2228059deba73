"""What a list of entries and a timetable can say, and how organisers head it.

Headings in English, German, French, Italian, Spanish and Dutch: as entry lists and booking
forms usually name them (common practice, no source).
"""

from django.utils.translation import gettext_lazy as _

from jobs.tables.matching import ListField

ENTRY_FIELDS = (
    ListField(
        "group", _("Run group"),
        ("group", "run group", "riding group", "startgruppe", "gruppe", "fahrgruppe", "groupe",
         "gruppo", "turno", "grupo", "tanda", "groep", "level", "niveau", "livello", "nivel"),
        True, help=_("its letter or name, as in the timetable"), example="B",
    ),
    ListField(
        "name", _("Rider"),
        ("name", "rider", "rider name", "full name", "driver", "participant", "fahrer",
         "fahrername", "teilnehmer", "vor und nachname", "name vorname", "nom et prenom",
         "nom prenom", "nom complet", "pilote", "participant e", "pilota", "nome e cognome",
         "cognome e nome", "nominativo", "piloto", "nombre y apellidos", "nombre completo",
         "rijder", "deelnemer", "volledige naam", "voor en achternaam"),
        True, help=_("the rider's name, in one column or two"), example="M. Quill",
    ),
    ListField(
        "first_name", _("Rider's first name"),
        ("first name", "forename", "given name", "firstname", "vorname", "prenom", "nome",
         "nombre", "voornaam"),
        gives=("name",), help=_("where the name stands in two columns"), example="Mara",
    ),
    ListField(
        "last_name", _("Rider's last name"),
        ("last name", "surname", "family name", "lastname", "nachname", "familienname",
         "zuname", "nom", "nom de famille", "cognome", "apellido", "apellidos", "achternaam"),
        gives=("name",), help=_("where the name stands in two columns"), example="Quill",
    ),
    ListField(
        "number", _("Start number"),
        ("number", "start number", "race number", "plate", "plate number", "no", "nr",
         "startnummer", "startnr", "start nr", "nummer", "numero", "numero de course",
         "n de course", "dossard", "numero di gara", "n di gara", "n gara", "num gara", "dorsal",
         "numero de dorsal", "rijnummer"),
        help=_("as on the plate; may repeat"), example="214",
    ),
    ListField(
        "bike", _("Make and model in one"),
        ("bike", "motorcycle", "motorbike", "machine", "make and model", "make model",
         "motorrad", "maschine", "fahrzeug", "moto", "marque et modele", "motocicletta",
         "marca e modello", "motocicleta", "marca y modelo", "motor", "motorfiets",
         "merk en model", "merk en type"),
        gives=("make", "model"), help=_("in place of make and model"), example="Corvane 650 R",
    ),
    ListField(
        "make", _("Make"),
        ("make", "brand", "manufacturer", "bike make", "marke", "hersteller", "marque",
         "constructeur", "marca", "casa", "fabricante", "merk"),
        True, help=_("the bike's make"), example="Corvane",
    ),
    ListField(
        "model", _("Model"),
        ("model", "bike model", "type", "modell", "typ", "modele", "modello", "modelo"),
        True, help=_("the bike's model"), example="650 R",
    ),
    ListField(
        "year", _("Year"),
        ("year", "model year", "bike year", "baujahr", "modelljahr", "annee", "annee modele",
         "anno", "ano", "bouwjaar", "jaar"),
        help=_("the model's year"), example="2021",
    ),
    ListField(
        "colour", _("Colour"),
        ("colour", "color", "bike colour", "farbe", "couleur", "colore", "kleur"),
        help=_("what tells it from its neighbour"), example="blue",
    ),
    ListField(
        "frame", _("Frame, last four"),
        ("frame", "frame number", "frame no", "vin", "chassis", "chassis number",
         "fahrgestellnummer", "rahmennummer", "fin", "numero de chassis", "numero de cadre",
         "numero di telaio", "telaio", "numero de bastidor", "bastidor", "framenummer",
         "chassisnummer"),
        # ISO 3779: seventeen characters, none of them I, O or Q.
        looks=r"[A-HJ-NPR-Z0-9]{17}",
        help=_("frame number or its last four characters"), example="7K42",
    ),
    ListField(
        "package", _("Service package"),
        ("package", "service package"),
        help=_("by code or name"), example="day-support",
    ),
    ListField(
        "bay", _("Bay"),
        ("bay", "box", "garage", "pit", "paddock", "boxenplatz", "stand", "emplacement",
         "pit box", "boxnummer"),
        help=_("where it stands in the paddock"), example="6",
    ),
    ListField(
        "complaint", _("Booked for"),
        ("complaint", "booked for", "problem", "request", "wunsch", "anliegen", "probleme",
         "demande", "problema", "richiesta", "peticion", "klacht", "wens"),
        help=_("what the rider booked for"), example="runs wide",
    ),
    ListField(
        "weight_kg", _("Weight in kit, kg"),
        ("weight kg", "weight", "rider weight", "weight in kit", "gewicht", "fahrergewicht",
         "poids", "poids pilote", "peso", "peso pilota", "peso piloto", "rijdersgewicht"),
        help=_("rider in kit, in kg"), example="82,5",
    ),
    ListField(
        "aim", _("Aim of the day"),
        ("aim", "goal", "ziel", "objectif", "obiettivo", "objetivo", "doel"),
        help=_("what the rider wants from the day"),
    ),
    ListField(
        "email", _("E-mail"),
        ("email", "e mail", "mail", "email address", "e mail address", "mail adresse",
         "e mail adresse", "courriel", "adresse e mail", "adresse mail", "indirizzo email",
         "posta elettronica", "correo", "correo electronico", "e mailadres", "emailadres"),
        looks=r"[^@\s]+@[^@\s]+\.[^@\s]+",
        help=_("the owner's e-mail; the customer's key"),
    ),
    ListField(
        "phone", _("Phone"),
        ("phone", "phone number", "mobile", "mobile phone", "mobile number", "cell", "telephone",
         "telefon", "telefonnummer", "handy", "handynummer", "mobil", "mobilnummer", "tel",
         "portable", "telefono", "cellulare", "movil", "telefono movil", "telefoon",
         "telefoonnummer", "mobiel", "gsm"),
        help=_("for the call on the day"),
    ),
    ListField(
        "owner", _("Owner, if not the rider"),
        ("owner", "bike owner", "halter", "besitzer", "proprietaire", "proprietario",
         "propietario", "eigenaar"),
    ),
    ListField(
        "payer", _("Payer, if not the owner"),
        ("payer", "bill to", "invoice to", "rechnung an", "rechnungsempfanger", "facturer a",
         "intestatario fattura", "facturar a", "factuur aan"),
    ),
    ListField(
        "payer_email", _("Payer's e-mail"),
        ("payer email", "payer e mail", "invoice email", "rechnung e mail", "email facturation",
         "email fattura", "email factura", "factuur e mail"),
    ),
    ListField(
        "street", _("Street"),
        ("street", "address", "street address", "address line 1", "strasse", "strasse nr",
         "strasse und hausnummer", "strasse hausnummer", "anschrift", "adresse", "rue", "via",
         "indirizzo", "direccion", "calle", "straat", "adres", "straat en huisnummer"),
        help=_("the owner's address, for the invoice"),
    ),
    ListField(
        "postcode", _("Postcode"),
        ("postcode", "post code", "postal code", "zip", "zip code", "plz", "postleitzahl",
         "code postal", "cp", "cap", "codice postale", "codigo postal"),
    ),
    ListField(
        "city", _("City"),
        ("city", "town", "ort", "wohnort", "stadt", "ville", "citta", "comune", "localita",
         "ciudad", "localidad", "poblacion", "plaats", "woonplaats", "stad"),
    ),
    ListField(
        "country", _("Country"),
        ("country", "land", "pays", "paese", "nazione", "stato", "pais"),
        help=_("its name or two-letter code"), example="IE",
    ),
    ListField(
        "note", _("Note"),
        ("note", "notes", "remark", "remarks", "comment", "comments", "bemerkung",
         "bemerkungen", "anmerkung", "kommentar", "hinweis", "remarque", "remarques",
         "commentaire", "commentaires", "observation", "osservazioni", "commenti",
         "observaciones", "comentarios", "notas", "opmerking", "opmerkingen"),
        help=_("anything else about this entry"),
    ),
    ListField(
        "ref", _("Organiser's ref"),
        ("ref", "reference", "booking", "booking number", "booking ref", "booking id",
         "booking reference", "order number", "order id", "registration number",
         "buchungsnummer", "bestellnummer", "anmeldenummer", "numero de commande",
         "numero d inscription", "numero ordine", "numero iscrizione", "numero de pedido",
         "numero de inscripcion", "bestelnummer", "boekingsnummer", "inschrijfnummer"),
        help=_("the organiser's own reference: the best key"),
    ),
)  # fmt: skip

TIMETABLE_FIELDS = (
    ListField(
        "group", _("Run group"),
        ("group", "run group", "riding group", "gruppe", "startgruppe", "groupe", "gruppo",
         "turno", "grupo", "tanda", "groep", "who", "wer"),
        True, help=_("its letter; or “lunch”; or “close” for the track's end"), example="A",
    ),
    ListField(
        "session", _("Session"),
        ("session", "session number", "turn", "turn number", "run", "lauf", "turn nr",
         "session nr", "manche", "sessione", "sesion", "sessie"),
        help=_("1 for the group's first; left out: by time"), example="1",
    ),
    ListField(
        "start", _("Start"),
        ("start", "from", "begin", "time", "start time", "von", "beginn", "startzeit", "zeit",
         "uhrzeit", "debut", "de", "heure", "inizio", "dalle", "ora", "inicio", "desde", "hora",
         "van", "begintijd", "starttijd", "tijd"),
        True, help=_("venue time"), example="09:00",
    ),
    ListField(
        "end", _("End"),
        ("end", "to", "until", "finish", "end time", "bis", "ende", "endzeit", "fin", "a",
         "jusqu a", "fine", "alle", "hasta", "einde", "tot", "eindtijd"),
        help=_("venue time; not needed for “close”"), example="09:20",
    ),
    ListField(
        "date", _("Date"),
        ("date", "day", "datum", "tag", "jour", "data", "giorno", "fecha", "dia", "dag"),
        help=_("must be the trackday's own"), example="2026-05-31",
    ),
    ListField(
        "pace", _("Pace"),
        ("pace", "level", "riding level", "fahrniveau", "niveau", "rythme", "livello", "ritmo",
         "nivel", "tempo"),
        help=_("how fast the group rides: novice, middle or quick"), example="middle",
    ),
)  # fmt: skip

"""The browsers a person is signed in on, to be looked at and signed out.

A row is written at each sign-in. Whether it is still open is the session table's to say; rows of
sessions that ended go when they are next looked at.
"""

from django.contrib.auth import SESSION_KEY, login
from django.contrib.sessions.models import Session
from django.http import HttpRequest
from django.utils.timezone import now
from django.utils.translation import gettext as _

from .models import OpenSession, User

BACKEND = "django.contrib.auth.backends.ModelBackend"

# What a browser's own name for itself holds, the most telling first.
BROWSERS = (
    ("Edg", "Edge"), ("OPR/", "Opera"), ("SamsungBrowser", "Samsung Internet"),
    ("Firefox/", "Firefox"), ("FxiOS", "Firefox"), ("CriOS", "Chrome"), ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)  # fmt: skip
SYSTEMS = (
    ("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"),
    ("Macintosh", "Mac"), ("CrOS", "ChromeOS"), ("Linux", "Linux"),
)  # fmt: skip


def enter(request: HttpRequest, user: User) -> None:
    """Sign somebody in who has proved who they are, and keep on which browser."""
    login(request, user, backend=BACKEND)
    session_keep(request, user)


def session_keep(request: HttpRequest, user: User) -> None:
    """Keep on which browser this session is; also after it got another key."""
    if not request.session.session_key:
        request.session.create()
    OpenSession.objects.update_or_create(
        session_key=request.session.session_key,
        defaults={"user": user, "browser": browser_in_words(request.headers.get("User-Agent", ""))},
    )


def sessions_of(user: User) -> list[OpenSession]:
    """Those still open, the newest first."""
    rows = OpenSession.objects.filter(user=user)
    open_keys = Session.objects.filter(expire_date__gt=now()).values("session_key")
    rows.exclude(session_key__in=open_keys).delete()
    return list(rows.order_by("-began_at", "-pk"))


def session_end(*, user: User, pk: int) -> bool:
    """Sign one browser of this person out. False: it is not theirs, or has ended already."""
    row = OpenSession.objects.filter(user=user, pk=pk).first()
    if row is None:
        return False
    Session.objects.filter(session_key=row.session_key).delete()
    row.delete()
    return True


def sessions_end_others(*, user: User, but: str) -> int:
    """Sign this person out everywhere but in the session of that key. How many there were.

    Sessions without a row here end too: those that began before browsers were listed.
    """
    running = Session.objects.filter(expire_date__gt=now()).exclude(session_key=but)
    ended = [
        one.session_key for one in running if one.get_decoded().get(SESSION_KEY) == str(user.pk)
    ]
    Session.objects.filter(session_key__in=ended).delete()
    OpenSession.objects.filter(user=user).exclude(session_key=but).delete()
    return len(ended)


def browser_in_words(agent: str) -> str:
    """As ``Firefox, Android``: enough to know which of one's own it is."""
    browser = next((word for sign, word in BROWSERS if sign in agent), _("another browser"))
    system = next((word for sign, word in SYSTEMS if sign in agent), _("another machine"))
    return f"{browser}, {system}"

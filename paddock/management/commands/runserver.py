from whitenoise.runserver_nostatic.management.commands.runserver import Command as Runserver


class Command(Runserver):  # type: ignore[misc]  # untyped
    """Without Django's own advice on migrations: ``paddock/pages.py`` says what to run."""

    def check_migrations(self) -> None:
        pass

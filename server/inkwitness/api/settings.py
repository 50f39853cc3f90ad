"""Every setting, its default and what it does. Set by environment variables INKWITNESS_NAME."""

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict

from inkwitness.consignment.gate import Terms
from inkwitness.holders.ended import Ended
from inkwitness.rulebook.values import Scheme
from inkwitness.use_cases.retention import Periods


class Settings(BaseSettings):
    """How this server runs."""

    model_config = SettingsConfigDict(env_prefix="INKWITNESS_", extra="ignore")

    data: Path = Field(Path("data"), description="folder for the database and the photos")
    web: Path | None = Field(
        None,
        description="folder of the built page; by default what came with the program",
    )
    workers: int = Field(
        1, ge=0, le=8, description="reading processes; 0 reads in a thread of the server"
    )
    least_free_mb: int = Field(
        200, ge=0, description="with less space than this on the disk no photo is taken"
    )
    most_waiting: int = Field(
        2000, ge=1, description="with more photos than this waiting no further one is taken"
    )
    helpers: int = Field(
        1, ge=0, le=8, description="processes that decode pictures; 0: the server itself does"
    )
    helper_seconds: float = Field(
        60.0, gt=0, description="after this long a picture, list or plan is given up"
    )
    report_seconds: float = Field(
        300.0, gt=0, description="after this long a report or a sheet of labels is given up"
    )
    reader_seconds: float = Field(
        180.0, gt=0, description="after this long a photo is given up and its process ended"
    )
    look_around_seconds: float = Field(
        15.0, gt=0, description="how often readers that ended and jobs nobody holds are looked for"
    )
    max_age_days: int = Field(
        30, ge=0, description="a list checked longer ago than this is called too old"
    )
    keep_settled_days: int = Field(
        0, ge=0, description="photos of goods without a conflict are due after so long; 0: never"
    )
    keep_open_days: int = Field(
        0, ge=0, description="photos of any other goods are due after so long; 0: never"
    )
    look_up_days: int = Field(
        7, ge=0, description="a look-up on the authority's own list older than this opens nothing"
    )
    two_persons: bool = Field(
        False, description="a release, lifting a hold and destroying wait for a second person"
    )
    reader: str = Field(
        "inkwitness.check.reader:build",
        description="module:function that builds what reads photos, in a process of its own",
    )
    judge: str = Field(
        "inkwitness.check.pipeline:build",
        description="module:function that builds what judges readings",
    )
    demo: bool = Field(False, description="says on every screen that the data are fictional")
    on: dt.date | None = Field(
        None, description="date that checks are made for; by default the day they are made"
    )
    accounts: bool = Field(
        False, description="people sign in and have roles; off: one person on this machine alone"
    )
    names: str = Field(
        "", description="host names beside loopback that this server answers to, comma separated"
    )
    outside: str = Field(
        "", description="address of the proxy in front, as people type it: https://ink.example"
    )
    policy: Path | None = Field(
        None,
        description="what this site wants where; by default site-policy.yaml in the data folder, "
        "else the example that came with the program",
    )
    font: Path | None = Field(
        None, description="TrueType font for PDF reports; by default DejaVu Sans of the system"
    )

    def terms(self, schemes: Iterable[Scheme], on: dt.date, ended: tuple[Ended, ...] = ()) -> Terms:
        """What a release waits for on a day; `ended` are entries of the list that are over."""
        return Terms(
            on=on,
            look_up_days=self.look_up_days,
            # where accounts tell people apart, some things take a second one
            two_persons=self.two_persons or self.accounts,
            without_list=frozenset(
                one.scheme
                for one in schemes
                if one.public_list is None or not one.public_list.lists_goods
            ),
            ended=ended,
        )

    @property
    def periods(self) -> Periods:
        """How long the bytes of photos are kept."""
        return Periods(self.keep_settled_days, self.keep_open_days)

"""On which side of the equator a time zone lies, and so which month is the coldest outdoors.

Source: latitudes of the zones' chief places in the tables of the IANA time zone database (public domain); countries and
old names that stand for a whole continent are added by their prefix. Near the equator neither half of the year is a
winter: there the two seasons of a design are what its keeper takes for them.
"""

from __future__ import annotations

from typing import Final

NORTH_COLDEST: Final = 1
SOUTH_COLDEST: Final = 7
PREFIXES: Final = ("Antarctica/", "Australia/", "Brazil/", "Chile/", "NZ", "America/Argentina/")
NOWHERE: Final = ("UTC", "GMT", "Etc/", "UCT", "Zulu", "Universal", "Greenwich")
SOUTH: Final[dict[str, str]] = {
    "Africa": (
        "Blantyre Brazzaville Bujumbura Dar_es_Salaam Gaborone Harare Johannesburg Kigali Kinshasa Luanda "
        "Lubumbashi Lusaka Maputo Maseru Mbabane Nairobi Windhoek "
    ),
    "America": (
        "Araguaina Argentina/Buenos_Aires Argentina/Catamarca Argentina/Cordoba Argentina/Jujuy "
        "Argentina/La_Rioja Argentina/Mendoza Argentina/Rio_Gallegos Argentina/Salta Argentina/San_Juan "
        "Argentina/San_Luis Argentina/Tucuman Argentina/Ushuaia Asuncion Bahia Belem Campo_Grande Coyhaique "
        "Cuiaba Eirunepe Fortaleza Guayaquil La_Paz Lima Maceio Manaus Montevideo Noronha Porto_Velho "
        "Punta_Arenas Recife Rio_Branco Santarem Santiago Sao_Paulo "
    ),
    "Asia": ("Dili Jakarta Jayapura Makassar Pontianak "),
    "Atlantic": ("South_Georgia St_Helena Stanley "),
    "Australia": ("Adelaide Brisbane Broken_Hill Darwin Eucla Hobart Lindeman Lord_Howe Melbourne Perth Sydney "),
    "Indian": ("Antananarivo Chagos Christmas Cocos Comoro Kerguelen Mahe Mauritius Mayotte Reunion "),
    "Pacific": (
        "Apia Auckland Bougainville Chatham Easter Efate Fakaofo Fiji Funafuti Galapagos Gambier Guadalcanal "
        "Kanton Marquesas Nauru Niue Norfolk Noumea Pago_Pago Pitcairn Port_Moresby Rarotonga Tahiti "
        "Tongatapu Wallis "
    ),
}
"""Cities of southern zones, by region."""


def is_south(zone: str) -> bool | None:
    """Whether a zone lies south of the equator; None where it names no place."""
    if zone.startswith(NOWHERE) or ("/" not in zone and not zone.startswith(PREFIXES)):
        return None
    region, _, city = zone.partition("/")
    return zone.startswith(PREFIXES) or city in SOUTH.get(region, "").split()


def coldest_month(zone: str) -> tuple[int, bool | None]:
    """The month, 1 to 12, that is taken as the coldest, and whether the zone lies in the south (None: not known)."""
    south = is_south(zone)
    return (SOUTH_COLDEST if south else NORTH_COLDEST), south

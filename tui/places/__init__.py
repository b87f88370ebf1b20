"""The places of the screen, in the order of their digits."""

from tui.frame import Place
from tui.places.costs import CostsPlace
from tui.places.due import DuePlace
from tui.places.ready import ReadyPlace
from tui.places.rearing import RearingPlace
from tui.places.sales import SalesPlace
from tui.places.stock import StockPlace
from tui.places.year import YearPlace

PLACES: tuple[type[Place], ...] = (
    DuePlace,
    ReadyPlace,
    StockPlace,
    SalesPlace,
    CostsPlace,
    RearingPlace,
    YearPlace,
)

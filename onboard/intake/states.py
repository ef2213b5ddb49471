"""The states, as far as reading a file needs them: which word is one, whose ZIPs begin with 0."""

from __future__ import annotations

# Codes and names: USPS Publication 28, Appendix B. The lesser territories are left out, as they
# are too rare to be a witness. First digits of ZIP codes: common knowledge of the trade; AE is the
# armed forces in Europe, and New York has 00501 and 06390.
ZERO_STATES = frozenset(
    ("CT", "MA", "ME", "NH", "NJ", "RI", "VT", "PR", "VI", "AE", "NY", "CONNECTICUT",
     "MASSACHUSETTS", "MAINE", "NEW HAMPSHIRE", "NEW JERSEY", "RHODE ISLAND", "VERMONT",
     "PUERTO RICO", "VIRGIN ISLANDS", "US VIRGIN ISLANDS", "NEW YORK")
)  # fmt: skip
_OTHER_STATES = frozenset(
    ("AL", "AK", "AZ", "AR", "CA", "CO", "DE", "DC", "FL", "GA", "GU", "HI", "ID", "IL", "IN",
     "IA", "KS", "KY", "LA", "MD", "MI", "MN", "MS", "MO", "MT", "NE", "NV", "NM", "NC", "ND",
     "OH", "OK", "OR", "PA", "SC", "SD", "TN", "TX", "UT", "VA", "WA", "WV", "WI", "WY",
     "ALABAMA", "ALASKA", "ARIZONA", "ARKANSAS", "CALIFORNIA", "COLORADO", "DELAWARE", "FLORIDA",
     "GEORGIA", "GUAM", "HAWAII", "IDAHO", "ILLINOIS", "INDIANA", "IOWA", "KANSAS", "KENTUCKY",
     "LOUISIANA", "MARYLAND", "MICHIGAN", "MINNESOTA", "MISSISSIPPI", "MISSOURI", "MONTANA",
     "NEBRASKA", "NEVADA", "NEW MEXICO", "NORTH CAROLINA", "NORTH DAKOTA", "OHIO", "OKLAHOMA",
     "OREGON", "PENNSYLVANIA", "SOUTH CAROLINA", "SOUTH DAKOTA", "TENNESSEE", "TEXAS", "UTAH",
     "VIRGINIA", "WASHINGTON", "WEST VIRGINIA", "WISCONSIN", "WYOMING")
)  # fmt: skip
STATES = ZERO_STATES | _OTHER_STATES

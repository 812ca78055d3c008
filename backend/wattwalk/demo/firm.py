"""What the demo firm sells: invented articles at invented prices."""

from __future__ import annotations

ARTICLES = """code,words,sold_by,selling_price,cost_price,vat
PIPE-22,"Copper pipe 22 mm, laid",m,14.20,6.85,energy_saving
PIPE-28,"Copper pipe 28 mm, laid",m,18.60,9.40,energy_saving
INS-22,"Insulation 25 mm on pipe 22 mm",m,6.30,2.75,energy_saving
RAD-22-600-1200,"Radiator type 22, 600 x 1200 mm, with valves",each,312.00,168.50,energy_saving
VESSEL-24,"Expansion vessel 24 l, with its valves",each,148.00,81.00,energy_saving
BASE,"Base of two concrete strips with a drain",sum,620.00,390.00,standard
HOUR,"Hour of a heating engineer",h,58.00,36.00,energy_saving
"""

"""Where the numbers and rules of the ready-made briefs were published. What is not here is common practice."""

ONTARIO_YEAR_1 = (
    "Ontario Ministry of Agriculture, Food and Rural Affairs (n.d.), Managing High Density Apple Orchards: "
    "Planting High Density Apple Orchards, Year 1 (video text): half of the leader"
)
"""Limbs over 50 % of the leader's diameter go; that the rule holds for every limb on its own limb is common practice."""
ONTARIO_BUDS = "Government of Ontario (2013 trials), Research results: trial on precision pruning"
"""24 limbs on a tall spindle, 12 on a slender spindle."""
ROBINSON_2010 = "T. Robinson in Fruit Growers News, 30 April 2010"
"""Fruiting branches of mature trees go at two thirds of the trunk."""
GOOD_FRUIT_2015 = "Good Fruit Grower (2015), on tall spindle planting: stubs of 2 in"
"""Stubs of 2 in."""
GOOD_FRUIT_COUNTING = (
    "Good Fruit Grower (n.d.), Precision crop load management requires counting, not cameras: 9 in"
)
"""At least 9 in between stacked branches, a rule of one block's managers."""
GOOD_FRUIT_V = "Good Fruit Grower (n.d.), The organized orchard"
"""16 limbs on a V trellis."""
APAL_2016 = "Apple and Pear Australia Limited, Future Orchards wrap, winter 2016"
"""Not more than 18 to 22 limbs on a long-pruned axis."""
RULES_SHEET = "Fruit tree pruning: a rules-based approach, Venango Extra (n.d.)"
"""Limbs steeper than 40 or lower than 140 degrees from the vertical go; limbs stay simple."""

HERITAGE_2014 = "Orchard Origins, Spur bearing and tip bearing fruit trees, 23 July 2014"
"""Last year's shoots of a tip bearer are not shortened."""
AMATEUR_2019 = "Amateur Gardening, Apples and pears: tip or spur bearing, January 2019"
USDA_TYPES = "USDA apple germplasm descriptors as quoted on the nafex list, 14 May 2001"
MORGAN_2013 = "J. Morgan (2013) as quoted by a nursery"
NORTHERN_GROUP = "Northern Fruit Group, list of varieties, 4th edition"
PHILLIPS_2005 = "M. Phillips (2005) as quoted by the University of Washington"
WEB_LIST = "A web list of unnamed authors"

//! Places on earth for invented systems, shifted at random so that none is a real site; invented names;
//! invented modules.

/// A region: latitude, longitude, altitude m, time zone, its standard offset h, mean air degC.
pub type Region = (f64, f64, f64, &'static str, f64, f64);

/// Regions, north and south.
pub const REGIONS: [Region; 20] = [
    (-22.5, 17.0, 1500.0, "Africa/Windhoek", 2.0, 22.0),
    (-1.5, 37.0, 1300.0, "Africa/Nairobi", 3.0, 22.0),
    (13.5, 2.5, 230.0, "Africa/Niamey", 1.0, 30.0),
    (14.7, -16.5, 40.0, "Africa/Dakar", 0.0, 27.0),
    (32.0, -6.5, 700.0, "Africa/Casablanca", 1.0, 21.0),
    (9.0, 39.0, 1800.0, "Africa/Addis_Ababa", 3.0, 20.0),
    (-15.5, 28.5, 1100.0, "Africa/Lusaka", 2.0, 23.0),
    (26.5, 73.0, 250.0, "Asia/Kolkata", 5.5, 29.0),
    (30.5, 71.0, 140.0, "Asia/Karachi", 5.0, 28.0),
    (41.8, 44.5, 600.0, "Asia/Tbilisi", 4.0, 14.0),
    (47.0, 105.0, 1300.0, "Asia/Ulaanbaatar", 8.0, 8.0),
    (-28.0, 145.0, 250.0, "Australia/Brisbane", 10.0, 24.0),
    (-31.5, 121.5, 350.0, "Australia/Perth", 8.0, 21.0),
    (34.5, -104.5, 1400.0, "America/Denver", -7.0, 18.0),
    (31.0, -100.5, 600.0, "America/Chicago", -6.0, 22.0),
    (20.5, -101.0, 1800.0, "America/Mexico_City", -6.0, 20.0),
    (-8.5, -38.5, 400.0, "America/Recife", -3.0, 27.0),
    (-17.0, -66.0, 2600.0, "America/La_Paz", -4.0, 15.0),
    (-33.0, -66.0, 500.0, "America/Argentina/San_Luis", -3.0, 18.0),
    (38.5, -6.0, 400.0, "Europe/Madrid", 1.0, 18.0),
];

/// First words of names.
pub const FIRST: [&str; 28] = [
    "Alder", "Barley", "Bracken", "Cairn", "Chalk", "Clover", "Copper", "Dapple", "Ember", "Fallow", "Flint",
    "Gorse", "Hazel", "Heron", "Juniper", "Lark", "Linden", "Mallow", "Mossy", "Otter", "Pebble", "Plover",
    "Quarry", "Rowan", "Sedge", "Thistle", "Umber", "Willow",
];

/// Second words.
pub const SECOND: [&str; 22] = [
    "Acre", "Bank", "Brow", "Corner", "Croft", "Dell", "Edge", "End", "Field", "Ford", "Garth", "Heath",
    "Knoll", "Lane", "Mead", "Moor", "Nook", "Reach", "Ridge", "Slope", "Stile", "Yard",
];

/// An invented module: cells, Isc, Voc, Imp, Vmp, alpha A/K, beta V/K, gamma %/K, NOCT.
pub type ModuleSheet = (u32, [f64; 8]);

/// Modules.
pub const MODULES: [ModuleSheet; 8] = [
    (36, [8.62, 22.4, 8.08, 18.2, 0.0045, -0.076, -0.43, 46.0]),
    (54, [13.86, 37.3, 13.05, 31.1, 0.0062, -0.101, -0.35, 44.0]),
    (60, [8.95, 38.1, 8.44, 31.0, 0.0047, -0.125, -0.42, 46.0]),
    (60, [9.62, 38.9, 9.08, 31.8, 0.0049, -0.117, -0.39, 45.0]),
    (60, [10.64, 41.0, 10.02, 34.3, 0.0050, -0.113, -0.36, 44.0]),
    (72, [9.48, 46.5, 8.93, 38.0, 0.0050, -0.149, -0.41, 45.0]),
    (72, [11.52, 49.4, 10.88, 41.2, 0.0055, -0.138, -0.36, 44.0]),
    (66, [13.3, 45.7, 12.5, 38.1, 0.0061, -0.124, -0.35, 44.0]),
];

"""The closed word lists and key sets of EPCIS 2.0 documents in JSON, as the published schema spells them.

Source: GS1 EPCIS 2.0 JSON schema (github gs1/EPCIS, commit 2b888be) and the context beside it.
"""

from collections.abc import Mapping
from typing import Final

ACTIONS: Final = frozenset({"ADD", "OBSERVE", "DELETE"})

BIZ_STEPS: Final = frozenset(
    [
        "accepting",
        "arriving",
        "assembling",
        "collecting",
        "commissioning",
        "consigning",
        "creating_class_instance",
        "cycle_counting",
        "decommissioning",
        "departing",
        "destroying",
        "disassembling",
        "dispensing",
        "encoding",
        "entering_exiting",
        "holding",
        "inspecting",
        "installing",
        "killing",
        "loading",
        "other",
        "packing",
        "picking",
        "receiving",
        "removing",
        "repackaging",
        "repairing",
        "replacing",
        "reserving",
        "retail_selling",
        "shipping",
        "staging_outbound",
        "stock_taking",
        "stocking",
        "storing",
        "transporting",
        "unloading",
        "unpacking",
        "void_shipping",
        "sensor_reporting",
        "sampling",
    ]
)
DISPOSITIONS: Final = frozenset(
    [
        "active",
        "container_closed",
        "damaged",
        "destroyed",
        "dispensed",
        "disposed",
        "encoded",
        "expired",
        "in_progress",
        "in_transit",
        "inactive",
        "no_pedigree_match",
        "non_sellable_other",
        "partially_dispensed",
        "recalled",
        "reserved",
        "retail_sold",
        "returned",
        "sellable_accessible",
        "sellable_not_accessible",
        "stolen",
        "unknown",
        "available",
        "completeness_verified",
        "completeness_inferred",
        "conformant",
        "container_open",
        "mismatch_instance",
        "mismatch_class",
        "mismatch_quantity",
        "needs_replacement",
        "non_conformant",
        "unavailable",
    ]
)
TRANSACTION_TYPES: Final = frozenset(
    [
        "bol",
        "cert",
        "desadv",
        "inv",
        "pedigree",
        "po",
        "poc",
        "prodorder",
        "recadv",
        "rma",
        "testprd",
        "testres",
        "upevt",
    ]
)
PARTY_TYPES: Final = frozenset({"owning_party", "possessing_party", "location"})
ERROR_REASONS: Final = frozenset({"did_not_occur", "incorrect_data"})
ALERTS: Final = frozenset({"ALARM_CONDITION", "ERROR_CONDITION"})
COMPONENTS: Final = frozenset(
    [
        "x",
        "y",
        "z",
        "axial_distance",
        "azimuth",
        "height",
        "spherical_radius",
        "polar_angle",
        "elevation_angle",
        "easting",
        "northing",
        "latitude",
        "longitude",
        "altitude",
    ]
)
MEASUREMENTS: Final = frozenset(
    [
        "AbsoluteHumidity",
        "AbsorbedDose",
        "AbsorbedDoseRate",
        "Acceleration",
        "Radioactivity",
        "Altitude",
        "AmountOfSubstance",
        "AmountOfSubstancePerUnitVolume",
        "Angle",
        "AngularAcceleration",
        "AngularMomentum",
        "AngularVelocity",
        "Area",
        "Capacitance",
        "Conductance",
        "Conductivity",
        "Count",
        "Density",
        "Dimensionless",
        "DoseEquivalent",
        "DoseEquivalentRate",
        "DynamicViscosity",
        "ElectricCharge",
        "ElectricCurrent",
        "ElectricCurrentDensity",
        "ElectricFieldStrength",
        "Energy",
        "Exposure",
        "Force",
        "Frequency",
        "Illuminance",
        "Inductance",
        "Irradiance",
        "KinematicViscosity",
        "Length",
        "LinearMomentum",
        "Luminance",
        "LuminousFlux",
        "LuminousIntensity",
        "MagneticFlux",
        "MagneticFluxDensity",
        "MagneticVectorPotential",
        "Mass",
        "MassConcentration",
        "MassFlowRate",
        "MassPerAreaTime",
        "MemoryCapacity",
        "MolalityOfSolute",
        "MolarEnergy",
        "MolarMass",
        "MolarVolume",
        "Power",
        "Pressure",
        "RadiantFlux",
        "RadiantIntensity",
        "RelativeHumidity",
        "Resistance",
        "Resistivity",
        "SolidAngle",
        "SpecificVolume",
        "Speed",
        "SurfaceDensity",
        "SurfaceTension",
        "Temperature",
        "Time",
        "Torque",
        "Voltage",
        "Volume",
        "VolumeFlowRate",
        "VolumeFraction",
        "VolumetricFlux",
        "Wavenumber",
    ]
)

UNITS: Final[Mapping[str, frozenset[str]]] = {
    "Mass": frozenset({"KGM", "GRM", "MGM", "TNE", "LBR", "ONZ"}),
    "Length": frozenset({"MTR", "MMT", "CMT", "DMT", "4H", "INH", "FOT"}),
    "Temperature": frozenset({"CEL", "FAH", "KEL"}),
    "Pressure": frozenset({"PAL", "KPA", "MPA", "BAR", "MBR", "PS"}),
    "Time": frozenset({"SEC", "MIN", "HUR", "DAY", "C26"}),
    "RelativeHumidity": frozenset({"P1"}),
    "Angle": frozenset({"DD", "C81"}),
}
"""Units that can be of a measurement, for those a plant like this one measures; other measurements are not judged.

Source: UN/CEFACT Recommendation 20 codes, not checked against the original text but for KGM GRM MTR MMT CEL BAR SEC, which the published
examples use.
"""

COMMON_KEYS: Final = frozenset(
    [
        "@context",
        "type",
        "eventTime",
        "recordTime",
        "eventTimeZoneOffset",
        "eventID",
        "certificationInfo",
        "errorDeclaration",
    ]
)
_WHERE = "bizStep disposition readPoint bizLocation bizTransactionList sourceList destinationList sensorElementList"
_LISTS = {
    "ObjectEvent": "action epcList quantityList persistentDisposition ilmd",
    "AggregationEvent": "action parentID childEPCs childQuantityList",
    "AssociationEvent": "action parentID childEPCs childQuantityList",
    "TransactionEvent": "action parentID epcList quantityList",
    "TransformationEvent": (
        "inputEPCList inputQuantityList outputEPCList outputQuantityList transformationID persistentDisposition ilmd"
    ),
}
EVENT_KEYS: Final[Mapping[str, frozenset[str]]] = {
    kind: COMMON_KEYS | frozenset(f"{_WHERE} {own}".split()) for kind, own in _LISTS.items()
}
"""Kind of event -> the keys it may have beside those of other vocabularies."""

DOCUMENT_KEYS: Final = frozenset(
    [
        "@context",
        "id",
        "type",
        "schemaVersion",
        "creationDate",
        "instanceIdentifier",
        "sender",
        "receiver",
        "epcisHeader",
        "epcisBody",
    ]
)

KNOWN_PREFIXES: Final = frozenset(
    {"epcis", "cbv", "cbvmda", "gs1", "rdfs", "owl", "xsd", "dcterms", "http", "https", "urn"}
)
"""Prefixes that the published context declares, and schemes that need none."""

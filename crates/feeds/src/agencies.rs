//! Who publishes the tables, and the words their licences ask for.

/// Licence of the Kp index.
pub const GFZ_LICENCE: &str = "CC BY 4.0";

/// Credit line for Kp from GFZ: publisher, licence and the paper its users are asked to cite.
pub const GFZ_KP_ATTRIBUTION: &str = "Kp index: GFZ Helmholtz Centre for Geosciences, CC BY 4.0; \
     Matzka et al. 2021, Space Weather, doi 10.1029/2020SW002641; data doi 10.5880/Kp.0001";

/// Licence of NOAA's products.
pub const NOAA_LICENCE: &str = "public domain (US government work)";

/// Credit line for Kp from NOAA. It must not sound like an endorsement.
pub const NOAA_KP_ATTRIBUTION: &str =
    "estimated planetary K index: NOAA Space Weather Prediction Center, public domain (US government work)";

/// An institution whose tables are read here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Agency {
    /// GFZ Helmholtz Centre for Geosciences, Potsdam: the authority for Kp.
    Gfz,
    /// NOAA Space Weather Prediction Center, Boulder: estimates and forecasts.
    Noaa,
}

impl Agency {
    /// The credit line that must go with every use of the agency's Kp.
    pub fn kp_attribution(self) -> &'static str {
        match self {
            Self::Gfz => GFZ_KP_ATTRIBUTION,
            Self::Noaa => NOAA_KP_ATTRIBUTION,
        }
    }

    /// The licence of the agency's Kp.
    pub fn licence(self) -> &'static str {
        match self {
            Self::Gfz => GFZ_LICENCE,
            Self::Noaa => NOAA_LICENCE,
        }
    }
}

using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Costs;

/// <summary>What single members used up in a firing, as written down beside its load.</summary>
public sealed class FiringSurcharges(Id<Studio> studioId, Id<Firing> firingId, IReadOnlyList<SurchargeUse> uses)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Who used what, and how often.</summary>
    public IReadOnlyList<SurchargeUse> Uses { get; set; } = uses;
}

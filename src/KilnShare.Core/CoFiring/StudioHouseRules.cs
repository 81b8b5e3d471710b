using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Core.CoFiring;

/// <summary>The house rules that a studio has set itself; a studio without a row has none.</summary>
public sealed class StudioHouseRules(Id<Studio> studioId, HouseRules rules)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The rules.</summary>
    public HouseRules Rules { get; set; } = rules;

    /// <summary>Raised whenever they are written.</summary>
    public long Version { get; set; } = 1;
}

using KilnShare.Core.Common;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Firings;

/// <summary>What was looked at before a kiln was lit. A list to go by, not a safety device: local codes and the maker's instructions come first.</summary>
/// <param name="VentOn">The vent runs.</param>
/// <param name="WitnessConesPlaced">Witness cones stand where they can be seen.</param>
/// <param name="PlugsAsWanted">Spy hole plugs are in or out as the schedule wants.</param>
/// <param name="ShelvesWashed">Shelves carry kiln wash where glaze may run.</param>
/// <param name="NothingFlammableNear">The clearance on the plate is kept.</param>
/// <param name="PresentAtEnd">Who will be there at the end of the firing.</param>
public sealed record LightingList(
    bool VentOn, bool WitnessConesPlaced, bool PlugsAsWanted, bool ShelvesWashed, bool NothingFlammableNear, string PresentAtEnd)
{
    /// <summary>What was looked at and found not to be so, in words; empty where all is as it should be.</summary>
    public IReadOnlyList<string> NotSo() =>
    [
        .. VentOn ? (string[])[] : ["the vent does not run"],
        .. WitnessConesPlaced ? (string[])[] : ["no witness cones stand where they can be seen"],
        .. PlugsAsWanted ? (string[])[] : ["the plugs are not as the schedule wants"],
        .. ShelvesWashed ? (string[])[] : ["shelves lack their wash"],
        .. NothingFlammableNear ? (string[])[] : ["something flammable stands too near"],
    ];
}

/// <summary>The list of one firing, and who went through it.</summary>
public sealed class LightingChecks(Id<Studio> studioId, Id<Firing> firingId, LightingList list, Id<Member> memberId, Instant checkedAt)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>What was looked at.</summary>
    public LightingList List { get; set; } = list;

    /// <summary>Who looked.</summary>
    public Id<Member> MemberId { get; set; } = memberId;

    /// <summary>When.</summary>
    public Instant CheckedAt { get; set; } = checkedAt;
}

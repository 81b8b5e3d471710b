using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Pieces;
using NodaTime;

namespace KilnShare.Core.Bookings;

/// <summary>Room that is kept for pieces not named yet: for how long, and how much of it one member may keep in a firing.</summary>
/// <remarks>Source: common practice, no source; our own caution, so that nobody keeps a kiln empty.</remarks>
public static class ReservedRoom
{
    /// <summary>What its nameless copies are called.</summary>
    public const string Name = "reserved room";

    /// <summary>For how long room is kept where nothing is said, hours.</summary>
    public const int UsualHours = 72;

    /// <summary>For how long room is kept at most, hours.</summary>
    public const int MostHours = 336;

    /// <summary>Nameless copies that one member may keep in a firing.</summary>
    public const int MostCopies = 40;

    /// <summary>Part of the chamber's volume that one member may keep, percent.</summary>
    public const int MostPercentOfChamber = 25;

    private const double Um3PerLitre = 1e15;

    /// <summary>Until when room is kept: as wished, else the usual time; never past the moment the firing is to be lit.</summary>
    /// <param name="wished">Until when it is wished.</param>
    /// <param name="firing">The firing.</param>
    /// <param name="now">The time.</param>
    /// <param name="zone">The studio's.</param>
    public static Result<Instant> Until(Instant? wished, Firing firing, Instant now, DateTimeZone zone)
    {
        if (firing.StartsAt <= now)
            return Refusal.Conflict("bookings.reserve-too-late",
                $"This firing was to be lit at {Moments.Of(firing.StartsAt, zone)}: room in it is kept for pieces only. Book the pieces themselves.");
        var latest = Instant.Min(now + Duration.FromHours(MostHours), firing.StartsAt);
        if (wished is not { } until) return Instant.Min(now + Duration.FromHours(UsualHours), latest);
        return until > now && until <= latest ? until : Refusal.Rule(
            "bookings.reserve-time",
                $"Room in this firing can be kept until {Moments.Of(latest, zone)}. Name a time from now until then, or leave it out for {UsualHours} hours.",
                "/until");
    }

    /// <summary>True while the room is still kept; the moment named is past it.</summary>
    public static bool IsKept(Booking reserve, Firing firing, Instant now) =>
        reserve is { State: BookingState.Confirmed, ReservedUntil: { } until } && now < Instant.Min(until, firing.StartsAt);

    /// <summary>Refuses more than one member may keep in a firing.</summary>
    /// <param name="kept">What the member keeps already.</param>
    /// <param name="wanted">What is wanted besides.</param>
    /// <param name="chamber">The kiln's chamber.</param>
    public static Refusal? CheckLimits(IEnumerable<FrozenCopy> kept, IEnumerable<FrozenCopy> wanted, Chamber chamber)
    {
        var (before, more) = (kept.ToList(), wanted.ToList());
        if (before.Count + more.Count > MostCopies)
            return Refusal.Rule(
                "bookings.reserve-limit",
                $"A member may keep room for {MostCopies} copies in a firing; you keep {before.Count} and this adds {more.Count}. Reserve less, or book the "
                    + $"pieces themselves.", "/room");
        var most = LitresOf(chamber.Footprint, chamber.Height) * MostPercentOfChamber / 100;
        var litres = before.Concat(more).Sum(c => LitresOf(c.Footprint, c.Height));
        return litres <= most ? null : Refusal.Rule(
            "bookings.reserve-limit",
                $"A member may keep {most:0.0} litres of this kiln, {MostPercentOfChamber} % of its chamber; with this you would keep {litres:0.0} litres. "
                    + $"Reserve less, or book the pieces themselves.", "/room");
    }

    private static double LitresOf(Footprint footprint, Length height) => FootprintMeasure.AreaUm2(footprint) * height.Micrometres / Um3PerLitre;
}

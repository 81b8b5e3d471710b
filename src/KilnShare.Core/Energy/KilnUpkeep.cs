using KilnShare.Core.Cones;
using NodaTime;

namespace KilnShare.Core.Energy;

/// <summary>How hot a firing is for what wears out in a kiln.</summary>
public enum ConeClass
{
    /// <summary>To cone 01.</summary>
    Low,

    /// <summary>Cone 1 to 7.</summary>
    Mid,

    /// <summary>Cone 8 and hotter.</summary>
    High,
}

/// <summary>A firing as far as it wears a kiln.</summary>
/// <param name="At">When it began.</param>
/// <param name="Cone">How hot.</param>
/// <param name="FullPowerMinutes">Minutes at full power; null where not known.</param>
public sealed record WearingFiring(Instant At, Cone Cone, double? FullPowerMinutes);

/// <summary>How far a part's life has gone.</summary>
/// <param name="Since">When it was new; null where nobody wrote that down.</param>
/// <param name="Firings">Firings since then.</param>
/// <param name="UsedAtMost">The part of its life that is used if such parts last shortly: 1 is all of it.</param>
/// <param name="UsedAtLeast">If they last long.</param>
public sealed record PartLife(Instant? Since, int Firings, double UsedAtMost, double UsedAtLeast);

/// <summary>What resistance tells of the elements.</summary>
/// <param name="NewOhms">When new: the first reading since they were replaced.</param>
/// <param name="NowOhms">The newest.</param>
/// <param name="GrowthPercent">So much more.</param>
/// <param name="PowerPercent">The part of the power that is left.</param>
/// <param name="FiringsLeft">Until replacement, going on like this; null where it has not grown.</param>
public sealed record ElementReading(decimal NewOhms, decimal NowOhms, double GrowthPercent, double PowerPercent, double? FiringsLeft);

/// <summary>Something to do, and on what it rests.</summary>
/// <param name="Code">Stable name.</param>
/// <param name="IsDue">True where it is due now, false where soon.</param>
/// <param name="Message">In words.</param>
/// <param name="Basis">Where the figure comes from.</param>
public sealed record UpkeepDue(string Code, bool IsDue, string Message, string Basis);

/// <summary>What a kiln's book of upkeep says.</summary>
/// <param name="Elements">Of the elements, by firings.</param>
/// <param name="Thermocouple">Of the thermocouple, by firings.</param>
/// <param name="Resistance">Of the elements, by resistance; null with fewer than two readings since they were new.</param>
/// <param name="FullPowerMinutes">At full power since the elements were new, as far as is known.</param>
/// <param name="Due">What is due or soon will be.</param>
public sealed record KilnUpkeep(
    PartLife Elements, PartLife Thermocouple, ElementReading? Resistance, double FullPowerMinutes, IReadOnlyList<UpkeepDue> Due)
{
    /// <summary>From here on it is said that a part will soon be due.</summary>
    private const double Soon = 0.8;

    /// <summary>All of a life, less what adding up its parts may lose.</summary>
    private const double Whole = 1 - 1e-9;

    private const string LivesSource = "published: kiln makers' manuals";
    private const string GrowthSource = "from memory of resistance-wire handbooks: replace at about 10 % more resistance than new";

    /// <summary>The upkeep of a kiln from its book and its firings.</summary>
    /// <remarks>
    /// Source: elements last 400 to 500 firings at low fire, 150 to 350 at cone 6, 35 to 100 at cone 10; thermocouples of
    /// type K about 150, 50 and 20 (all published, kiln makers' manuals); each firing uses its part (Palmgren–Miner's rule of linear damage, Miner 1945).
    /// Accuracy: of lives, a factor of two; look at the part itself.
    /// </remarks>
    public static KilnUpkeep Of(IReadOnlyList<UpkeepEntry> book, IReadOnlyList<WearingFiring> firings)
    {
        var elements = Life(book, UpkeepKind.ElementsReplaced, firings, ElementLives);
        var thermocouple = Life(book, UpkeepKind.ThermocoupleReplaced, firings, ThermocoupleLives);
        var sinceNew = firings.Where(f => elements.Since is not { } since || f.At >= since).ToList();
        var resistance = Read(book, elements, sinceNew);
        return new KilnUpkeep(
            elements, thermocouple, resistance, sinceNew.Sum(f => f.FullPowerMinutes ?? 0), [.. DueOf(elements, thermocouple, resistance)]);
    }

    /// <summary>The class of a cone.</summary>
    public static ConeClass ClassOf(Cone cone) =>
        cone.Order < Cone.Parse("1").Order ? ConeClass.Low : cone.Order < Cone.Parse("8").Order ? ConeClass.Mid : ConeClass.High;

    private static (double Short, double Long) ElementLives(ConeClass hot) => hot switch
    {
        ConeClass.Low => (400, 500),
        ConeClass.Mid => (150, 350),
        _ => (35, 100),
    };

    private static (double Short, double Long) ThermocoupleLives(ConeClass hot) => hot switch
    {
        ConeClass.Low => (150, 150),
        ConeClass.Mid => (50, 50),
        _ => (20, 20),
    };

    private static PartLife Life(
        IReadOnlyList<UpkeepEntry> book, UpkeepKind renewed, IReadOnlyList<WearingFiring> firings, Func<ConeClass, (double Short, double Long)> lives)
    {
        Instant? since = book.Where(e => e.Kind == renewed).Select(e => (Instant?)e.At).Max();
        var worn = firings.Where(f => since is null || f.At >= since).Select(f => lives(ClassOf(f.Cone))).ToList();
        return new PartLife(since, worn.Count, worn.Sum(l => 1 / l.Short), worn.Sum(l => 1 / l.Long));
    }

    private static ElementReading? Read(IReadOnlyList<UpkeepEntry> book, PartLife elements, List<WearingFiring> sinceNew)
    {
        var ohms = book.Where(e => e.Ohms is not null && (elements.Since is not { } since || e.At >= since)).OrderBy(e => e.At).ToList();
        if (ohms.Count < 2) return null;
        var (first, last) = (ohms[0], ohms[^1]);
        var growth = (double)(last.Ohms!.Value / first.Ohms!.Value - 1) * 100;
        var between = sinceNew.Count(f => f.At >= first.At && f.At <= last.At);
        return new ElementReading(
            first.Ohms.Value, last.Ohms.Value, growth, 100 * ElementAgeing.PowerFactor(growth), ElementAgeing.FiringsLeft(growth, between));
    }

    private static IEnumerable<UpkeepDue> DueOf(PartLife elements, PartLife thermocouple, ElementReading? resistance)
    {
        if (resistance is { } read && read.GrowthPercent >= Soon * ElementAgeing.ReplaceAtGrowthPercent)
            yield return new UpkeepDue(
                "elements-resistance", read.GrowthPercent >= ElementAgeing.ReplaceAtGrowthPercent,
                $"The elements' resistance has grown by {read.GrowthPercent:0.#} %, and {read.PowerPercent:0.#} % of the power is left. "
                + $"Have them replaced at about {ElementAgeing.ReplaceAtGrowthPercent:0} %, with the kiln unplugged, by somebody licensed where that "
                    + $"is the law.",
                GrowthSource);
        if (elements.UsedAtMost >= Whole)
            yield return new UpkeepDue(
                "elements-firings", elements.UsedAtLeast >= Whole,
                $"{Count(elements)} have used {100 * elements.UsedAtLeast:0} % to {100 * elements.UsedAtMost:0} % of the elements' usual life. Measure their "
                    + $"resistance.", LivesSource);
        if (thermocouple.UsedAtMost >= Soon)
            yield return new UpkeepDue(
                "thermocouple-firings", thermocouple.UsedAtMost >= Whole,
                $"{Count(thermocouple)} have used {100 * thermocouple.UsedAtMost:0} % of a type K thermocouple's usual life. Replace it, and watch witness "
                    + $"cones: a worn one reads low.",
                LivesSource);
        if (elements.Since is null || thermocouple.Since is null)
            yield return new UpkeepDue(
                "book-incomplete", false,
                "Nobody wrote down when elements or thermocouple were new, so all firings of this kiln are counted. Write it down.", "the studio's own book");
    }

    private static string Count(PartLife life) => life.Firings == 1 ? "One firing" : $"{life.Firings} firings";
}

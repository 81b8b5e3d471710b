using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using NodaTime.Text;

namespace KilnShare.Api.Outcomes;

/// <summary>A recipe that comes out otherwise since something changed.</summary>
public sealed record RecipeChangeContract
{
    /// <summary>What changed.</summary>
    public required ChangeKind Kind { get; init; }

    /// <summary>Since which day.</summary>
    /// <example>2027-03-14</example>
    public required string On { get; init; }

    /// <summary>The kiln that changed; null where none did.</summary>
    public required Guid? KilnId { get; init; }

    /// <summary>The new batch; null where there is none.</summary>
    public required string? Batch { get; init; }

    /// <summary>The clay.</summary>
    public required string Clay { get; init; }

    /// <summary>The glaze; null for ware without.</summary>
    public required string? Glaze { get; init; }

    /// <summary>How many coats.</summary>
    public required int? Coats { get; init; }

    /// <summary>The cone reached.</summary>
    public required Cone Cone { get; init; }

    /// <summary>The series that the cone belongs to.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The atmosphere.</summary>
    public required Atmosphere Atmosphere { get; init; }

    /// <summary>The defect that comes more or less often; null: it is sound ware that does.</summary>
    public required Defect? Defect { get; init; }

    /// <summary>How often it came before.</summary>
    public required SeenRateContract Before { get; init; }

    /// <summary>How often it comes since.</summary>
    public required SeenRateContract After { get; init; }

    /// <summary>How often luck alone would show as much anywhere in this answer, as a part of 1.</summary>
    /// <example>0.012</example>
    public required double ByLuck { get; init; }

    /// <summary>The same in words.</summary>
    public required string Sentence { get; init; }

    /// <summary>The contract of a change.</summary>
    public static RecipeChangeContract Of(RecipeChange change)
    {
        var how = change.Defect is { } defect ? OutcomeWords.Of(defect) : OutcomeWords.Sound;
        return new()
        {
            Kind = change.Point.Kind,
            On = LocalDatePattern.Iso.Format(change.Point.On),
            KilnId = change.Point.KilnId?.Value,
            Batch = change.Point.Batch,
            Clay = change.Recipe.Clay,
            Glaze = change.Recipe.Glaze,
            Coats = change.Recipe.Coats,
            Cone = change.Recipe.Cone,
            Series = change.Recipe.Series,
            Atmosphere = change.Recipe.Atmosphere,
            Defect = change.Defect,
            Before = SeenRateContract.Of(change.Before, how),
            After = SeenRateContract.Of(change.After, how),
            ByLuck = Math.Round(change.ByLuck, 4),
            Sentence = change.InWords(),
        };
    }
}

/// <summary>Which recipes come out otherwise since something changed.</summary>
public sealed record EvidenceChangesAnswer
{
    /// <summary>The seed of the orders that were drawn.</summary>
    public required int Seed { get; init; }

    /// <summary>In so many answers luck alone is reported as a change, at most, as a part of 1.</summary>
    /// <example>0.05</example>
    public required double FalseAlarms { get; init; }

    /// <summary>How many changes had firings enough before and after them.</summary>
    public required int Looked { get; init; }

    /// <summary>How many recipes and outcomes were asked of.</summary>
    public required int Questions { get; init; }

    /// <summary>What was found, the surest first.</summary>
    public required IReadOnlyList<RecipeChangeContract> Changes { get; init; }

    /// <summary>What that means, in words.</summary>
    public required string Sentence { get; init; }

    /// <summary>The answer for what was found.</summary>
    public static EvidenceChangesAnswer Of(RecipeChanges found, int seed) => new()
    {
        Seed = seed,
        FalseAlarms = RecipeChanges.FalseAlarms,
        Looked = found.Points,
        Questions = found.Questions,
        Changes = [.. found.Changes.Select(RecipeChangeContract.Of)],
        Sentence = found.InWords(),
    };
}

using System.Text.Json.Serialization;
using KilnShare.Api.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Outcomes;

/// <summary>Between which rates an outcome probably lies, as parts of 1.</summary>
public sealed record RateRangeContract
{
    /// <summary>Probably no less.</summary>
    /// <example>0.58</example>
    public required double Low { get; init; }

    /// <summary>Probably no more.</summary>
    /// <example>0.95</example>
    public required double High { get; init; }

    /// <summary>The contract of a range, to two decimals and never narrower than it is.</summary>
    public static RateRangeContract? Of(RateRange? range) =>
        range is { } r ? new() { Low = Math.Floor(100 * r.Low) / 100, High = Math.Ceiling(100 * r.High) / 100 } : null;
}

/// <summary>How often an outcome was seen.</summary>
public sealed record SeenRateContract
{
    /// <summary>How many pieces came out so.</summary>
    /// <example>12</example>
    public required int Seen { get; init; }

    /// <summary>Of how many.</summary>
    /// <example>14</example>
    public required int Pieces { get; init; }

    /// <summary>In how many firings.</summary>
    /// <example>4</example>
    public required int Firings { get; init; }

    /// <summary>
    /// Between which rates the outcome lies, nine times in ten, the pieces of one firing sharing its luck. Absent from one firing: it may have been an odd one.
    /// </summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public RateRangeContract? Range { get; init; }

    /// <summary>The same in words.</summary>
    /// <example>12 of 14 came out sound, in 4 firings. The rate behind that probably lies between 58 % and 95 %.</example>
    public required string Sentence { get; init; }

    /// <summary>The contract of a rate.</summary>
    /// <param name="rate">The rate.</param>
    /// <param name="how">What the ware did.</param>
    public static SeenRateContract Of(SeenRate rate, string how) => new()
    {
        Seen = rate.Seen,
        Pieces = rate.Pieces,
        Firings = rate.Firings,
        Range = RateRangeContract.Of(rate.Range),
        Sentence = rate.InWords(how),
    };

    /// <summary>The rates of defects under their words.</summary>
    public static IReadOnlyDictionary<string, SeenRateContract> Of(IReadOnlyDictionary<Defect, SeenRate> rates) =>
        rates.OrderBy(d => d.Key).ToDictionary(d => EnumWord<Defect>.Of(d.Key), d => Of(d.Value, OutcomeWords.Of(d.Key)), StringComparer.Ordinal);
}

/// <summary>A coat in a stack of them.</summary>
public sealed record StackedCoatContract
{
    /// <summary>Its glaze.</summary>
    /// <example>quiet white</example>
    public required string Glaze { get; init; }

    /// <summary>How many coats; null where the answer is not told apart by coats.</summary>
    /// <example>2</example>
    public required int? Coats { get; init; }

    /// <summary>It was fired before this firing.</summary>
    public required bool WasFired { get; init; }

    /// <summary>The contract of a coat.</summary>
    public static StackedCoatContract Of(StackedCoat coat) => new() { Glaze = coat.Glaze, Coats = coat.Coats, WasFired = coat.WasFired };
}

/// <summary>What many outcomes say of one clay under one glaze, fired alike.</summary>
public sealed record EvidenceRowContract
{
    /// <summary>The clay.</summary>
    public required string Clay { get; init; }

    /// <summary>The glaze; null for ware without.</summary>
    public required string? Glaze { get; init; }

    /// <summary>How many coats; null where the answer is not told apart by coats.</summary>
    public required int? Coats { get; init; }

    /// <summary>The cone reached.</summary>
    public required Cone Cone { get; init; }

    /// <summary>The series that the cone belongs to: one number in two series is two heats.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The atmosphere.</summary>
    public required Atmosphere Atmosphere { get; init; }

    /// <summary>All coats on the ware, the lowest first; null where the answer is not told apart by layers.</summary>
    public required IReadOnlyList<StackedCoatContract>? Layers { get; init; }

    /// <summary>How the glaze went on; null where nobody said, and where the answer is not told apart by it.</summary>
    public required CoatApplication? AppliedBy { get; init; }

    /// <summary>The batch of the glaze; null where nobody said, and where the answer is not told apart by it.</summary>
    public required string? Batch { get; init; }

    /// <summary>The third of the kiln by height; null where nobody knows, and where the answer is not told apart by it.</summary>
    public required KilnLevel? Level { get; init; }

    /// <summary>How many copies were seen.</summary>
    public required int Pieces { get; init; }

    /// <summary>In how many firings.</summary>
    public required int Firings { get; init; }

    /// <summary>On how many dates.</summary>
    public required int Dates { get; init; }

    /// <summary>True from two firings on two dates; before that, an outcome is an anecdote.</summary>
    public required bool Repeated { get; init; }

    /// <summary>How many of each grade.</summary>
    public required IReadOnlyDictionary<string, int> Grades { get; init; }

    /// <summary>How often each defect was seen.</summary>
    public required IReadOnlyDictionary<string, int> Defects { get; init; }

    /// <summary>How often the ware came out good or fair, and harmed nothing else.</summary>
    public required SeenRateContract Sound { get; init; }

    /// <summary>How often each defect that was seen came.</summary>
    public required IReadOnlyDictionary<string, SeenRateContract> DefectRates { get; init; }

    /// <summary>The contract of a row.</summary>
    public static EvidenceRowContract Of(EvidenceRow row) => new()
    {
        Clay = row.Clay,
        Glaze = row.Glaze,
        Coats = row.Coats,
        Cone = row.Cone,
        Series = row.Series,
        Atmosphere = row.Atmosphere,
        Layers = row.Layers?.Select(StackedCoatContract.Of).ToList(),
        AppliedBy = row.AppliedBy,
        Batch = row.Batch,
        Level = row.Level,
        Pieces = row.Pieces,
        Firings = row.Firings,
        Dates = row.Dates,
        Repeated = row.IsRepeated,
        Grades = row.Grades.ToDictionary(g => EnumWord<OutcomeGrade>.Of(g.Key), g => g.Value, StringComparer.Ordinal),
        Defects = row.Defects.ToDictionary(d => EnumWord<Defect>.Of(d.Key), d => d.Value, StringComparer.Ordinal),
        Sound = SeenRateContract.Of(row.Sound, OutcomeWords.Sound),
        DefectRates = SeenRateContract.Of(row.DefectRates),
    };
}

/// <summary>The studio's own evidence.</summary>
public sealed record EvidenceAnswer
{
    /// <summary>What the rows are told apart by, beyond clay, glaze, cone, its series and atmosphere.</summary>
    public required IReadOnlyList<EvidenceBy> By { get; init; }

    /// <summary>
    /// One row for each clay, glaze, cone, its series and atmosphere that was seen, told apart further as asked. What nobody knows is a row of its
    /// own.
    /// </summary>
    public required IReadOnlyList<EvidenceRowContract> Rows { get; init; }
}

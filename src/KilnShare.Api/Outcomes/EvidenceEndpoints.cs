using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Storage;
using KilnShare.Storage.Outcomes;

namespace KilnShare.Api.Outcomes;

/// <summary>What many outcomes say of one clay under one glaze, fired alike.</summary>
public sealed record EvidenceRowContract
{
    /// <summary>The clay.</summary>
    public required string Clay { get; init; }

    /// <summary>The glaze; null for ware without.</summary>
    public required string? Glaze { get; init; }

    /// <summary>How many coats.</summary>
    public required int Coats { get; init; }

    /// <summary>The cone.</summary>
    public required Cone Cone { get; init; }

    /// <summary>The series that the cone belongs to: one number in two series is two heats.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The atmosphere.</summary>
    public required Atmosphere Atmosphere { get; init; }

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
}

/// <summary>The studio's own evidence.</summary>
public sealed record EvidenceAnswer
{
    /// <summary>One row for each clay, glaze, coats, cone, its series and atmosphere that was seen.</summary>
    public required IReadOnlyList<EvidenceRowContract> Rows { get; init; }
}

/// <summary>What the studio's outcomes say together.</summary>
public static class EvidenceEndpoints
{
    private const int MostOutcomes = 20_000;

    /// <summary>Maps the routes.</summary>
    public static void MapEvidence(this RouteGroupBuilder studio) => studio.MapGet("/evidence", Read)
        .WithTags("Outcomes").WithName("readEvidence").Answers<EvidenceAnswer>();

    /// <summary>Read what the studio's outcomes say together</summary>
    private static async Task<IResult> Read(Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        var rows = EvidenceTable.Of(await db.ReadSeenOutcomes(caller.StudioId, MostOutcomes, cancellation));
        return TypedResults.Ok(new EvidenceAnswer { Rows = [.. rows.Select(RowOf)] });
    }

    private static EvidenceRowContract RowOf(EvidenceRow row) => new()
    {
        Clay = row.Clay,
        Glaze = row.Glaze,
        Coats = row.Coats,
        Cone = row.Cone,
        Series = row.Series,
        Atmosphere = row.Atmosphere,
        Pieces = row.Pieces,
        Firings = row.Firings,
        Dates = row.Dates,
        Repeated = row.IsRepeated,
        Grades = row.Grades.ToDictionary(g => EnumWord<OutcomeGrade>.Of(g.Key), g => g.Value, StringComparer.Ordinal),
        Defects = row.Defects.ToDictionary(d => EnumWord<Defect>.Of(d.Key), d => d.Value, StringComparer.Ordinal),
    };
}

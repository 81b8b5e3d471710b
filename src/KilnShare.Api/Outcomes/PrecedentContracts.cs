using System.Text.Json.Serialization;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Core.Pieces;
using NodaTime.Text;

namespace KilnShare.Api.Outcomes;

/// <summary>A coat of ware that was fired here before.</summary>
public sealed record PrecedentCoatContract
{
    /// <summary>Its glaze.</summary>
    /// <example>quiet white</example>
    public required string Glaze { get; init; }

    /// <summary>How many coats.</summary>
    /// <example>2</example>
    public required int Coats { get; init; }

    /// <summary>How it went on; null where nobody said.</summary>
    public required CoatApplication? AppliedBy { get; init; }

    /// <summary>It was fired before this firing.</summary>
    public required bool WasFired { get; init; }
}

/// <summary>A piece that was fired here before.</summary>
public sealed record PrecedentPieceContract
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>What it is.</summary>
    /// <example>tall cast bird</example>
    public required string Name { get; init; }

    /// <summary>The sign under its foot; null where it had none.</summary>
    /// <example>B7</example>
    public required string? Mark { get; init; }

    /// <summary>The firing it came out of.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>The day it was unloaded.</summary>
    /// <example>2027-03-14</example>
    public required string On { get; init; }

    /// <summary>How it came out.</summary>
    public required OutcomeGrade Grade { get; init; }
}

/// <summary>Ware of one recipe that was fired here before.</summary>
public sealed record PrecedentContract
{
    private const int MostPieces = 10;

    /// <summary>What differs from the piece asked about; empty where its very recipe was fired.</summary>
    /// <example>["2 coats instead of 3", "cone 5 instead of 6"]</example>
    public required IReadOnlyList<string> Unlike { get; init; }

    /// <summary>How much a firing of it counts toward what may be expected: 1 where nothing differs.</summary>
    /// <example>0.25</example>
    public required double Weight { get; init; }

    /// <summary>Its clay.</summary>
    public required string Clay { get; init; }

    /// <summary>Its coats, the lowest first.</summary>
    public required IReadOnlyList<PrecedentCoatContract> Coats { get; init; }

    /// <summary>The cone reached.</summary>
    public required Cone Cone { get; init; }

    /// <summary>The series that the cone belongs to.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The atmosphere.</summary>
    public required Atmosphere Atmosphere { get; init; }

    /// <summary>How often it came out sound.</summary>
    public required SeenRateContract Sound { get; init; }

    /// <summary>How often each defect that was seen came.</summary>
    public required IReadOnlyDictionary<string, SeenRateContract> DefectRates { get; init; }

    /// <summary>The ten newest pieces of it.</summary>
    public required IReadOnlyList<PrecedentPieceContract> Pieces { get; init; }

    /// <summary>The contract of a case.</summary>
    public static PrecedentContract Of(Precedent precedent)
    {
        var newest = precedent.Seen[0];
        return new()
        {
            Unlike = precedent.Likeness.Unlike,
            Weight = Math.Round(precedent.Likeness.Weight, 3),
            Clay = newest.Clay.Name,
            Coats = [.. newest.Layers.Select(
                l => new PrecedentCoatContract { Glaze = l.Glaze.Name, Coats = l.Coats, AppliedBy = l.AppliedBy, WasFired = !l.IsRaw })],
            Cone = newest.Aim.Cone,
            Series = newest.Aim.Series,
            Atmosphere = newest.Aim.Atmosphere,
            Sound = SeenRateContract.Of(precedent.Sound, OutcomeWords.Sound),
            DefectRates = SeenRateContract.Of(precedent.Defects),
            Pieces = [.. precedent.Seen.SelectMany(s => s.Pieces.Select(p => PieceOf(p, s))).Take(MostPieces)],
        };
    }

    private static PrecedentPieceContract PieceOf(SeenPiece piece, SeenCopies seen) => new()
    {
        PieceId = piece.Id.Value,
        Name = piece.Name,
        Mark = piece.Mark,
        FiringId = seen.FiringId.Value,
        On = LocalDatePattern.Iso.Format(seen.On),
        Grade = seen.Grade,
    };
}

/// <summary>What may be expected of a piece by all that was fired here before.</summary>
public sealed record ExpectedContract
{
    /// <summary>How many firings of its very recipe it rests on.</summary>
    public required int OwnFirings { get; init; }

    /// <summary>How many firings of ware less like it are borrowed; they count for less.</summary>
    public required int BorrowedFirings { get; init; }

    /// <summary>Between which rates sound ware lies, nine times in ten. Absent from fewer than two firings.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public RateRangeContract? Range { get; init; }

    /// <summary>The same in words, with what is borrowed.</summary>
    public required string Sentence { get; init; }
}

/// <summary>What happened here before to ware like a piece.</summary>
public sealed record PrecedentsAnswer
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copy of it.</summary>
    public required int Copy { get; init; }

    /// <summary>The cone it is held against; null where no firing is chosen yet: cones and atmospheres are then not compared.</summary>
    public required Cone? Cone { get; init; }

    /// <summary>The series of that cone.</summary>
    public required ConeSeries? Series { get; init; }

    /// <summary>The atmosphere it is held against.</summary>
    public required Atmosphere? Atmosphere { get; init; }

    /// <summary>What may be expected of it.</summary>
    public required ExpectedContract Expected { get; init; }

    /// <summary>What was fired here before, what is most like it first; the twenty nearest.</summary>
    public required IReadOnlyList<PrecedentContract> Cases { get; init; }
}

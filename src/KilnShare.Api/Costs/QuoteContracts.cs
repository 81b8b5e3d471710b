using FluentValidation;
using KilnShare.Api.Bookings;
using KilnShare.Api.Common;

namespace KilnShare.Api.Costs;

/// <summary>Ware whose share is asked for, all of one member.</summary>
public sealed record QuoteBody
{
    /// <summary>The ware, as in a booking.</summary>
    public required IReadOnlyList<BookedPieceContract> Pieces { get; init; }
}

/// <summary>The load as it stands, this ware included.</summary>
public sealed record QuotedLoadContract
{
    /// <summary>Members who would share.</summary>
    public required int Members { get; init; }

    /// <summary>Copies.</summary>
    public required int Pieces { get; init; }

    /// <summary>Room of all the ware, cm³.</summary>
    public required decimal VolumeCm3 { get; init; }

    /// <summary>Room of this member's ware, cm³.</summary>
    public required decimal YourVolumeCm3 { get; init; }
}

/// <summary>What a firing would cost a member, as things stand booked now. Nothing is kept; the share falls as others join.</summary>
public sealed record QuoteAnswer
{
    /// <summary>The member.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>Minor units, if the kiln takes the least energy that is likely.</summary>
    public required long LowMinor { get; init; }

    /// <summary>Minor units, as assumed.</summary>
    public required long LikelyMinor { get; init; }

    /// <summary>Minor units, if it takes the most.</summary>
    public required long HighMinor { get; init; }

    /// <summary>The parts of the likely figure.</summary>
    public required IReadOnlyList<SharePartContract> Parts { get; init; }

    /// <summary>Why each part is what it is.</summary>
    public required IReadOnlyDictionary<string, string> Reasons { get; init; }

    /// <summary>The energy assumed, kWh.</summary>
    public required decimal EnergyKwh { get; init; }

    /// <summary>Give or take.</summary>
    public required decimal HalfWidthPercent { get; init; }

    /// <summary>Where the energy comes from.</summary>
    public required string Assumption { get; init; }

    /// <summary>The load as it stands.</summary>
    public required QuotedLoadContract Load { get; init; }
}

internal sealed class QuoteValidator : AbstractValidator<QuoteBody>
{
    private const int MostPieces = 200;

    public QuoteValidator()
    {
        RuleFor(q => q.Pieces).NotEmpty().WithErrorCode("bookings.no-pieces").WithMessage("Takes one piece at the least.");
        RuleFor(q => q.Pieces).AtMost(MostPieces);
        RuleFor(q => q.Pieces).Must(p => p.Select(x => x.PieceId).Distinct().Count() == p.Count)
            .WithErrorCode("bookings.same-piece").WithMessage("A piece stands twice. Name it once, with all its copies.");
    }
}

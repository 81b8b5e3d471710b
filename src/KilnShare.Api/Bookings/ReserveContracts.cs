using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Pieces;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>Alike copies to keep room for, before they are written down as pieces.</summary>
public sealed record RoomContract
{
    /// <summary>Their outline from above.</summary>
    public required ShapeContract Footprint { get; init; }

    /// <summary>Their height.</summary>
    /// <example>110</example>
    public required Length HeightMm { get; init; }

    /// <summary>Mass of one, g; absent: not known, and not counted.</summary>
    /// <example>380</example>
    public decimal? MassG { get; init; }

    /// <summary>How many.</summary>
    /// <example>4</example>
    public int Quantity { get; init; } = 1;

    /// <summary>False where they must not be turned on the shelf.</summary>
    public bool MayTurn { get; init; } = true;

    /// <summary>A nameless copy of this size.</summary>
    public FrozenCopy ToCore(Id<Member> member) => new(ReservedRoom.Name, null, member, Footprint.ToCore(), HeightMm, MassG, MayTurn, null);
}

/// <summary>Room to be kept for a while.</summary>
public sealed record ReserveBody
{
    /// <summary>The sizes.</summary>
    public required IReadOnlyList<RoomContract> Room { get; init; }

    /// <summary>Until when; absent: 72 hours. At most 14 days, and never past the lighting of the firing.</summary>
    public Instant? Until { get; init; }
}

internal sealed class ReserveValidator : AbstractValidator<ReserveBody>
{
    public ReserveValidator()
    {
        RuleFor(r => r.Room).NotEmpty().WithErrorCode("bookings.no-room").WithMessage("Takes one size at the least.");
        RuleFor(r => r.Room).AtMost(ReservedRoom.MostCopies);
        RuleForEach(r => r.Room).ChildRules(room =>
        {
            room.RuleFor(r => r.Footprint).SetValidator(new ShapeValidator());
            room.RuleFor(r => r.HeightMm).Within(new Length(1), PieceLimits.MaxSide);
            room.RuleFor(r => r.MassG).Within(0.001m, PieceLimits.MaxMassG, 3);
            room.RuleFor(r => r.Quantity).Within(1, ReservedRoom.MostCopies);
        });
    }
}

using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Costs;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>Money, or a charge or credit outside of firings, to be written into the books.</summary>
public record PaymentBody
{
    /// <summary>Whose account it touches.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>
    /// payment and deposit: the member pays; refund: the studio pays out; credit: the studio lets the member have it; charge: the member owes it;
    /// writeOff: the studio gives up what is owed.
    /// </summary>
    /// <example>payment</example>
    public PaymentKind Kind { get; init; }

    /// <summary>Minor units, above 0.</summary>
    /// <example>5000</example>
    public required long AmountMinor { get; init; }

    /// <summary>What for, in words; kept apart from the books.</summary>
    /// <example>bank transfer for January</example>
    public string? Reason { get; init; }
}

/// <summary>A payment written down.</summary>
public sealed record PaymentAnswer : PaymentBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>Who wrote it down.</summary>
    public required Guid MadeBy { get; init; }

    /// <summary>When.</summary>
    public required Instant At { get; init; }

    /// <summary>The answer for a payment.</summary>
    public static PaymentAnswer Of(Payment payment, string currency) => new()
    {
        Id = payment.Id.Value,
        MemberId = payment.MemberId.Value,
        Kind = payment.Kind,
        AmountMinor = payment.AmountMinor,
        Reason = payment.Reason,
        Currency = currency,
        MadeBy = payment.MadeBy.Value,
        At = payment.At,
    };
}

internal sealed class PaymentValidator : AbstractValidator<PaymentBody>
{
    public PaymentValidator()
    {
        RuleFor(p => p.AmountMinor).InclusiveBetween(1, CostLimits.MostMinor).WithMessage($"Takes minor units from 1 to {CostLimits.MostMinor}.");
        RuleFor(p => p.Reason).Note();
    }
}
